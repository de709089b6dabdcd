INSERT INTO sessions (hash, source, person_id, created_at, seen_at, ends_at)
VALUES ($1, $2, $3, $4, $4, $5)
