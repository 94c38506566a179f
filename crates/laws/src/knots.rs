//! Knots.
