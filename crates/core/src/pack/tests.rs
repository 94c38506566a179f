//! The packer against its contacts, and its laws.
