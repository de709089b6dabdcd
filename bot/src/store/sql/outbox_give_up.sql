-- $1 key, $2 fence, $3 now, $4 error. A message withdrawn while it was being sent stays withdrawn.
UPDATE outbox
SET state = CASE WHEN state = 'ready' THEN 'dead' ELSE state END,
    finished_at = $3, last_error = $4, lease_owner = NULL, lease_until = NULL
WHERE key = $1 AND fence = $2 AND state IN ('ready', 'withdrawn')
