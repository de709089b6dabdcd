SELECT message_marks.room_id, message_marks.message_id, message_marks.version, message_marks.deleted
FROM inbox JOIN message_marks ON message_marks.source = inbox.source
    AND message_marks.room_id = inbox.room_id AND message_marks.message_id = inbox.message_id
WHERE inbox.state <> 'waiting' AND inbox.source = $1 AND inbox.person_id = $2 AND inbox.message_id IS NOT NULL
ORDER BY inbox.seq LIMIT $3
