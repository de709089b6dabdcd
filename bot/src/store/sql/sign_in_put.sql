INSERT INTO sign_in_links (hash, source, person_id, created_at, expires_at)
VALUES ($1, $2, $3, $4, $5)
ON CONFLICT (hash) DO NOTHING
