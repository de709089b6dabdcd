SELECT purpose, created_at, state, finished_at, platform_message_id, last_error, body
FROM outbox
WHERE source = $1 AND person_id = $2 AND body <> '{}'
ORDER BY seq LIMIT $3
