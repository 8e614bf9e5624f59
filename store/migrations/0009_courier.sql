-- A courier's own tables: what it keeps for circles that it cannot read.

-- `access`: what whoever comes has to prove. `used`: bytes, as quotas count them.
CREATE TABLE courier_place (
    circle    BLOB NOT NULL PRIMARY KEY CHECK (length(circle) = 32),
    access    BLOB NOT NULL CHECK (length(access) = 32),
    registrar BLOB NOT NULL CHECK (length(registrar) = 32),
    quota     INTEGER NOT NULL,
    days      INTEGER NOT NULL,
    used      INTEGER NOT NULL,
    began     INTEGER NOT NULL,
    visited   INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE courier_former (
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    access BLOB NOT NULL CHECK (length(access) = 32),
    number INTEGER NOT NULL,
    PRIMARY KEY (circle, access)
) STRICT, WITHOUT ROWID;

-- Sealed copies of epoch keys that members left for one another.
CREATE TABLE courier_copy (
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    key_id BLOB NOT NULL CHECK (length(key_id) = 16),
    tag    BLOB NOT NULL CHECK (length(tag) = 16),
    copy   BLOB NOT NULL,
    added  INTEGER NOT NULL,
    PRIMARY KEY (circle, key_id, tag)
) STRICT, WITHOUT ROWID;

-- By how much a log grew on the day that it grew last.
CREATE TABLE courier_growth (
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    log    BLOB NOT NULL CHECK (length(log) = 16),
    day    INTEGER NOT NULL,
    bytes  INTEGER NOT NULL,
    PRIMARY KEY (circle, log)
) STRICT, WITHOUT ROWID;

-- Places that the keeper gave out and nobody has taken yet.
CREATE TABLE courier_code (
    code    BLOB NOT NULL PRIMARY KEY CHECK (length(code) = 16),
    secret  BLOB NOT NULL CHECK (length(secret) = 32),
    quota   INTEGER NOT NULL,
    days    INTEGER NOT NULL,
    expires INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- A member's own tables: what this node knows of its circles' couriers. `courier`: the courier's Noise key.

-- Where this node took the place. `access`: the key that the courier was told last. `stop`: to be ended.
CREATE TABLE courier_registrar (
    circle  BLOB NOT NULL CHECK (length(circle) = 32),
    courier BLOB NOT NULL CHECK (length(courier) = 32),
    seed    BLOB NOT NULL CHECK (length(seed) = 32),
    access  BLOB NOT NULL CHECK (length(access) = 32),
    address TEXT NOT NULL,
    stop    INTEGER NOT NULL,
    PRIMARY KEY (circle, courier)
) STRICT, WITHOUT ROWID;

-- How visits went. `lacked`: events that the courier had given a receipt for and lacked later.
CREATE TABLE courier_visit (
    circle  BLOB NOT NULL CHECK (length(circle) = 32),
    courier BLOB NOT NULL CHECK (length(courier) = 32),
    last_ok INTEGER,
    note    TEXT NOT NULL,
    full    INTEGER NOT NULL,
    used    INTEGER NOT NULL,
    lacked  INTEGER NOT NULL,
    PRIMARY KEY (circle, courier)
) STRICT, WITHOUT ROWID;

-- The latest receipt. `covered`: what had arrived here up to this number is in what the receipt names.
CREATE TABLE courier_receipt (
    circle  BLOB NOT NULL CHECK (length(circle) = 32),
    courier BLOB NOT NULL CHECK (length(courier) = 32),
    receipt BLOB NOT NULL,
    covered INTEGER NOT NULL,
    PRIMARY KEY (circle, courier)
) STRICT, WITHOUT ROWID;

-- Epoch keys whose sealed copies were left at the courier.
CREATE TABLE courier_left (
    circle  BLOB NOT NULL CHECK (length(circle) = 32),
    courier BLOB NOT NULL CHECK (length(courier) = 32),
    key_id  BLOB NOT NULL CHECK (length(key_id) = 16),
    PRIMARY KEY (circle, courier, key_id)
) STRICT, WITHOUT ROWID;

-- Couriers that a host named to somebody whom it had just let in; of use until the circle itself can be read.
CREATE TABLE courier_hint (
    circle  BLOB NOT NULL CHECK (length(circle) = 32),
    courier BLOB NOT NULL CHECK (length(courier) = 32),
    said    BLOB NOT NULL,
    PRIMARY KEY (circle, courier)
) STRICT, WITHOUT ROWID;
