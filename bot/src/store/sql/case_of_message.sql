SELECT c.id, c.number, c.source, c.person_id, c.room_id, c.thread_id, c.lift, c.state,
       c.opened_at, c.updated_at, c.version, c.body
FROM entries e
JOIN cases c ON c.id = e.case_id
WHERE e.message_id = $3 AND c.source = $1 AND c.room_id = $2
ORDER BY e.seq DESC
LIMIT 1
