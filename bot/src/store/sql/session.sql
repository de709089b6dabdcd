SELECT source, person_id, created_at, seen_at, ends_at
FROM sessions
WHERE hash = $1
