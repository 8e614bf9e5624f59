-- Devices that count as their member's in a circle before their certificate has come: there, of somebody who came back
-- with a paper key; on the new device itself, of whoever let them back.
CREATE TABLE returning_device (
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    member BLOB NOT NULL CHECK (length(member) = 32),
    device BLOB NOT NULL CHECK (length(device) = 32),
    noise  BLOB NOT NULL CHECK (length(noise) = 32),
    PRIMARY KEY (circle, member)
) STRICT, WITHOUT ROWID;
