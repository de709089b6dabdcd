-- $1 case, $2 now. The lease stays, so that a sending under way can still say how it ended.
UPDATE outbox
SET state = 'withdrawn', finished_at = $2
WHERE state = 'ready' AND purpose <> 'alert' AND case_id = $1
