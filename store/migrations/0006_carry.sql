-- Bundles and drop folders. All of it is this node's own knowledge, never synced; forgetting it only repeats news.

-- What was put into bundles, for whom: events of the log before next_seq. `reader`: a member, zeros for anybody in the
-- circle, or the name of a drop folder.
CREATE TABLE carried (
    circle   BLOB NOT NULL CHECK (length(circle) = 32),
    reader   BLOB NOT NULL CHECK (length(reader) = 32),
    log      BLOB NOT NULL CHECK (length(log) = 16),
    next_seq INTEGER NOT NULL,
    written  INTEGER NOT NULL,
    PRIMARY KEY (circle, reader, log, next_seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE carried_bundles (
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    reader BLOB NOT NULL CHECK (length(reader) = 32),
    count  INTEGER NOT NULL,
    PRIMARY KEY (circle, reader)
) STRICT, WITHOUT ROWID;

-- Parts of bundles that were read to their end.
CREATE TABLE carried_part (
    bundle BLOB NOT NULL CHECK (length(bundle) = 16),
    part   INTEGER NOT NULL,
    PRIMARY KEY (bundle, part)
) STRICT, WITHOUT ROWID;

CREATE TABLE drop_folder (
    folder TEXT NOT NULL PRIMARY KEY,
    looked INTEGER,
    note   TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- Files of a drop folder that were looked at. `waits`: empty if there is no more to learn from the file; else what this
-- node held when it looked, so that the file is read again once it holds more. `lacks`: what it waits for, a sentence.
CREATE TABLE drop_seen (
    folder TEXT NOT NULL REFERENCES drop_folder (folder) ON DELETE CASCADE,
    name   TEXT NOT NULL,
    waits  TEXT NOT NULL,
    lacks  TEXT NOT NULL,
    PRIMARY KEY (folder, name)
) STRICT, WITHOUT ROWID;

-- Bundles that this node put into a drop folder and may take out again.
CREATE TABLE drop_own (
    folder TEXT NOT NULL REFERENCES drop_folder (folder) ON DELETE CASCADE,
    name   TEXT NOT NULL,
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    PRIMARY KEY (folder, name)
) STRICT, WITHOUT ROWID;

-- The root that this node's head file in the folder tells of.
CREATE TABLE drop_heads (
    folder TEXT NOT NULL REFERENCES drop_folder (folder) ON DELETE CASCADE,
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    root   BLOB NOT NULL CHECK (length(root) = 32),
    PRIMARY KEY (folder, circle)
) STRICT, WITHOUT ROWID;
