-- Every event gets the next arrival number when it is stored here; a log keeps the number of its last event.
-- `retired`: an own log of an earlier incarnation of this store. It still grows by what peers hold of it, never by
-- what is said here.

ALTER TABLE log ADD COLUMN arrival INTEGER NOT NULL DEFAULT 0;
ALTER TABLE log ADD COLUMN retired INTEGER NOT NULL DEFAULT 0;

UPDATE log SET arrival = total.upto
    FROM (SELECT log_ref AS ref, sum(next_seq) OVER (ORDER BY log_ref) AS upto FROM log) AS total
    WHERE total.ref = log.log_ref;

CREATE INDEX log_by_arrival ON log (arrival, circle);
CREATE INDEX own_log ON log (log_ref) WHERE mine = 1;
