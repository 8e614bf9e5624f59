-- How far the last call to a device came, and when; when both last held the same.
ALTER TABLE peer ADD COLUMN step INTEGER NOT NULL DEFAULT 0;
ALTER TABLE peer ADD COLUMN last_try INTEGER;
ALTER TABLE peer ADD COLUMN last_same INTEGER;
