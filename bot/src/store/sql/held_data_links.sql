SELECT created_at, expires_at, uses_left
FROM data_links WHERE source = $1 AND person_id = $2 ORDER BY created_at LIMIT $3
