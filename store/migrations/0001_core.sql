-- The event log and what it needs. Ids are BLOBs of fixed length; every table is STRICT.

CREATE TABLE setting (
    name  TEXT NOT NULL PRIMARY KEY,
    value BLOB NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE circle (
    circle    BLOB NOT NULL PRIMARY KEY CHECK (length(circle) = 32),
    kind      INTEGER NOT NULL,
    name      TEXT NOT NULL,
    founder   BLOB NOT NULL CHECK (length(founder) = 32),
    ctl_heads BLOB NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE epoch_key (
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    key_id BLOB NOT NULL CHECK (length(key_id) = 16),
    secret BLOB NOT NULL CHECK (length(secret) = 32),
    added  INTEGER NOT NULL,
    PRIMARY KEY (circle, key_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE log (
    log_ref  INTEGER PRIMARY KEY,
    circle   BLOB NOT NULL CHECK (length(circle) = 32),
    log      BLOB NOT NULL CHECK (length(log) = 16),
    device   BLOB NOT NULL CHECK (length(device) = 32),
    salt     BLOB NOT NULL CHECK (length(salt) = 16),
    founding INTEGER NOT NULL,
    mine     INTEGER NOT NULL,
    next_seq INTEGER NOT NULL,
    head     BLOB NOT NULL CHECK (length(head) = 32),
    UNIQUE (circle, log)
) STRICT;

CREATE TABLE event (
    log_ref   INTEGER NOT NULL REFERENCES log (log_ref),
    seq       INTEGER NOT NULL,
    id        BLOB NOT NULL CHECK (length(id) = 32),
    key_id    BLOB NOT NULL CHECK (length(key_id) = 16),
    ctl       BLOB NOT NULL,
    salt      BLOB NOT NULL CHECK (length(salt) = 8),
    signature BLOB NOT NULL CHECK (length(signature) = 64),
    sealed    BLOB NOT NULL,
    PRIMARY KEY (log_ref, seq)
) STRICT, WITHOUT ROWID;

CREATE UNIQUE INDEX event_by_id ON event (id);

-- Events whose key has not arrived; taken in when it does.
CREATE TABLE unread (
    log_ref INTEGER NOT NULL,
    seq     INTEGER NOT NULL,
    key_id  BLOB NOT NULL,
    PRIMARY KEY (log_ref, seq)
) STRICT, WITHOUT ROWID;

-- Register writes that a later write says it has replaced. Whether that write's author may say so is judged where the
-- register is read.
CREATE TABLE superseded (
    id      BLOB NOT NULL CHECK (length(id) = 32),
    log_ref INTEGER NOT NULL,
    seq     INTEGER NOT NULL,
    PRIMARY KEY (id, log_ref, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE read_model (
    name    TEXT NOT NULL PRIMARY KEY,
    version INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- Invites that this node gave out.
CREATE TABLE invite (
    invite    BLOB NOT NULL PRIMARY KEY CHECK (length(invite) = 16),
    secret    BLOB NOT NULL CHECK (length(secret) = 32),
    circle    BLOB NOT NULL CHECK (length(circle) = 32),
    role      INTEGER NOT NULL,
    level     INTEGER NOT NULL,
    expires   INTEGER NOT NULL,
    used_by   BLOB
) STRICT, WITHOUT ROWID;

-- Circles that this member was let into, and by which device, until the first sync has shown them.
CREATE TABLE welcome (
    circle BLOB NOT NULL PRIMARY KEY CHECK (length(circle) = 32),
    device BLOB NOT NULL CHECK (length(device) = 32),
    noise  BLOB NOT NULL CHECK (length(noise) = 32)
) STRICT, WITHOUT ROWID;

-- Where devices were last reached. Local knowledge, never synced.
CREATE TABLE peer (
    device    BLOB NOT NULL PRIMARY KEY CHECK (length(device) = 32),
    address   TEXT NOT NULL,
    last_ok   INTEGER,
    last_note TEXT NOT NULL
) STRICT, WITHOUT ROWID;
