SELECT source, room_id, message_id, version, deleted
FROM message_marks
WHERE source = $1 AND room_id = $2 AND message_id = $3
