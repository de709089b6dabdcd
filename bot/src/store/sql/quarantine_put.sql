INSERT INTO quarantine (source, id, body, reason, received_at)
VALUES ($1, $2, $3, $4, $5)
ON CONFLICT (source, id) DO NOTHING
