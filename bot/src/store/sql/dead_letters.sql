SELECT body, last_error, finished_at
FROM outbox
WHERE state = 'dead'
ORDER BY finished_at DESC, seq DESC
LIMIT $1
