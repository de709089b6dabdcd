-- $1 key, $2 now
UPDATE outbox
SET state = 'ready', run_at = $2, attempts = 0, finished_at = NULL
WHERE key = $1 AND state = 'dead'
