-- How long a row takes follows from the moments of the ticks; what was kept of it was never told anybody.
ALTER TABLE weaving DROP COLUMN pace_minutes;
