-- Several people may say to somebody who was removed that they were let in again; none of them pushes another out.
-- The columns of the key come first: SQLite 3.40 takes the others for NULL when it checks the table.
CREATE TABLE welcome_of_each (
    circle BLOB NOT NULL CHECK (length(circle) = 32),
    noise  BLOB NOT NULL CHECK (length(noise) = 32),
    device BLOB NOT NULL CHECK (length(device) = 32),
    PRIMARY KEY (circle, noise)
) STRICT, WITHOUT ROWID;
INSERT INTO welcome_of_each (circle, noise, device) SELECT circle, noise, device FROM welcome;
DROP TABLE welcome;
ALTER TABLE welcome_of_each RENAME TO welcome;
