-- The platform of what waits, beside it: the desk's queue of one platform is read in order from an index,
-- without a look at the case of every line. Empty where a program of before wrote the line.
ALTER TABLE queue ADD COLUMN source TEXT NOT NULL DEFAULT '';
UPDATE queue SET source = (SELECT cases.source FROM cases WHERE cases.id = queue.case_id);
CREATE INDEX queue_platform ON queue (source, urgency, promised, since, minutes, case_id);
