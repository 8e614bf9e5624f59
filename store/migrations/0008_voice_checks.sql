-- Members whose check words were compared by voice on this node's first contact with them, and on which day. Own
-- knowledge, never synced.
CREATE TABLE voice_check (
    member BLOB NOT NULL PRIMARY KEY CHECK (length(member) = 32),
    day    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
