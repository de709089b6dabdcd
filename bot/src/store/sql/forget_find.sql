-- $1 source, $2 room, $3 message. Two halves, each with its own index.
SELECT seq, body FROM inbox
WHERE state <> 'waiting' AND message_id IS NOT NULL AND source = $1 AND room_id = $2 AND message_id = $3 AND body <> '{}'
UNION ALL
SELECT seq, body FROM inbox
WHERE state = 'waiting' AND source = $1 AND room_id = $2 AND message_id = $3 AND body <> '{}'
