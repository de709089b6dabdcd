DELETE FROM message_marks
WHERE (source, room_id, message_id) IN (
    SELECT source, room_id, message_id FROM inbox
    WHERE state <> 'waiting' AND source = $1 AND person_id = $2 AND message_id IS NOT NULL
)
