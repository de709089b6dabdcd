-- $1, $2 member, $3 event, $4 state. What was taken back stays so.
UPDATE strikes
SET state = $4
WHERE source = $1 AND person_id = $2 AND cause_id = $3 AND state <> 'taken-back'
