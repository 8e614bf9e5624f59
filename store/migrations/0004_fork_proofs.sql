-- Proofs that a device wrote two events with one number: of several for a log the one with the smallest number. Nothing
-- of the log from `seq` on counts.
CREATE TABLE fork_proof (
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    log    BLOB NOT NULL CHECK (length(log) = 16),
    seq    INTEGER NOT NULL,
    proof  BLOB NOT NULL,
    PRIMARY KEY (circle, log)
) STRICT, WITHOUT ROWID;

-- How far this store and a peer's had come when the two last held the same of a circle. `peer` names a device and the
-- instance of its store.
CREATE TABLE sync_cursor (
    circle        BLOB NOT NULL CHECK (length(circle) = 32),
    peer          BLOB NOT NULL CHECK (length(peer) = 16),
    peer_arrivals INTEGER NOT NULL,
    own_arrivals  INTEGER NOT NULL,
    PRIMARY KEY (circle, peer)
) STRICT, WITHOUT ROWID;

ALTER TABLE event ADD COLUMN arrival INTEGER NOT NULL DEFAULT 0;
