SELECT body, last_error, finished_at
FROM outbox
WHERE state = 'dead' AND source = $1
ORDER BY finished_at DESC, seq DESC
LIMIT $2
