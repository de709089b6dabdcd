INSERT INTO sheets (id, source, person_id, made_at, minutes)
VALUES ($1, $2, $3, $4, $5)
ON CONFLICT (id) DO NOTHING
