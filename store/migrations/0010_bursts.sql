-- An event is found by its log and number; nothing looks for one by its id alone. The index cost more than the table:
-- ids are scattered, so every event wrote a page of its own.
DROP INDEX event_by_id;

-- Circles with events that are stored and not yet worked out in full; done at the end of the sync that brings them, or
-- at the next opening.
CREATE TABLE unsettled (
    circle BLOB NOT NULL PRIMARY KEY CHECK (length(circle) = 32)
) STRICT, WITHOUT ROWID;
