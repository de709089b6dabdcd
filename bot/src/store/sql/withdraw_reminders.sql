-- $1, $2 person, $3 now. The lease stays, so that a sending under way can still say how it ended.
UPDATE outbox
SET state = 'withdrawn', finished_at = $3
WHERE state = 'ready' AND purpose = 'reminder' AND source = $1 AND person_id = $2
