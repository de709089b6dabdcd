SELECT type, room_id, message_id, received_at, state, body
FROM inbox
WHERE state <> 'waiting' AND source = $1 AND person_id = $2 AND body <> '{}'
ORDER BY seq LIMIT $3
