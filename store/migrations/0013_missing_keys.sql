-- Which keys the events in `unread` wait for, log by log, and between which numbers. A hundred thousand events may name
-- one key.
CREATE TABLE missing_key (
    circle    BLOB NOT NULL CHECK (length(circle) = 32),
    key_id    BLOB NOT NULL CHECK (length(key_id) = 16),
    log_ref   INTEGER NOT NULL,
    first_seq INTEGER NOT NULL,
    last_seq  INTEGER NOT NULL,
    PRIMARY KEY (circle, key_id, log_ref)
) STRICT, WITHOUT ROWID;

INSERT INTO missing_key (circle, key_id, log_ref, first_seq, last_seq)
SELECT log.circle, unread.key_id, log_ref, min(unread.seq), max(unread.seq) FROM unread JOIN log USING (log_ref)
GROUP BY log.circle, unread.key_id, log_ref;
