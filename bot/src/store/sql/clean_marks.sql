DELETE FROM message_marks WHERE (source, room_id, message_id) IN (
    SELECT source, room_id, message_id FROM message_marks WHERE marked_at < $1 LIMIT $2
)
