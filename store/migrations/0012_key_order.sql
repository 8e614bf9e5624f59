-- The newest keys of a circle, and the number of the next one, without a look at all of them: any member may link to
-- thousands.
CREATE INDEX epoch_key_by_age ON epoch_key (circle, added);
