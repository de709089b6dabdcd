-- $1 case, $2 now. Its case was stopped or taken back: the challenge is looked at again at once.
UPDATE challenges
SET run_at = $2, version = version + 1
WHERE case_id = $1 AND state IN ('asked', 'open', 'closed')
