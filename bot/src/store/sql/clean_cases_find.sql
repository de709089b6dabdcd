-- $1 stage, $2 before, $3 limit. Clips go from every case, the rest from cases that are over.
SELECT id, number, source, person_id, room_id, thread_id, lift, state, opened_at, updated_at, version, body
FROM cases
WHERE trimmed < $1 AND updated_at < $2
  AND ($1 < 2 OR state IN ('mended', 'lapsed', 'withdrawn'))
ORDER BY trimmed, updated_at LIMIT $3
