-- $1 number, $2 state, $3 body, $4 when there is something to do, $5 version. The sealed answer is
-- written once and never here.
UPDATE challenges
SET state = $2, body = $3, run_at = $4, version = version + 1
WHERE number = $1 AND version = $5
