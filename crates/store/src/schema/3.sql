-- When a piece was put away from the list of pieces; null where it stands in it.
ALTER TABLE piece ADD COLUMN put_away_at INTEGER;
