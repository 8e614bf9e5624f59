-- Copies of epoch keys, each sealed to one device or paper key; kept for whoever asks for theirs.
CREATE TABLE wrap (
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    key_id BLOB NOT NULL CHECK (length(key_id) = 16),
    tag    BLOB NOT NULL CHECK (length(tag) = 16),
    copy   BLOB NOT NULL,
    PRIMARY KEY (circle, key_id, tag)
) STRICT, WITHOUT ROWID;

-- The epoch that is written under; none: the founding key.
ALTER TABLE circle ADD COLUMN epoch BLOB;
-- Last day of a guardian's consent as a day number, 0 if it was taken back, none if nothing was said.
ALTER TABLE circle ADD COLUMN consent INTEGER;
-- Nothing that is appended here would count: the next own event begins a new log.
ALTER TABLE log ADD COLUMN closed INTEGER NOT NULL DEFAULT 0;
