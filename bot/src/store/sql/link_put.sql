INSERT INTO data_links (token_hash, source, person_id, created_at, expires_at, uses_left)
VALUES ($1, $2, $3, $4, $5, $6)
ON CONFLICT (token_hash) DO NOTHING
