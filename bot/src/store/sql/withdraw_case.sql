-- $1 case, $2 now. The lease stays, so that a sending under way can still say how it ended. Dead
-- letters go too, so that sending again brings no old loads; the coach's own words stay.
UPDATE outbox
SET state = 'withdrawn', finished_at = $2
WHERE state IN ('ready', 'dead') AND purpose IN ('reply', 'reminder') AND case_id = $1
