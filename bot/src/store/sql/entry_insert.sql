INSERT INTO entries (case_id, at, kind, who, message_id, text)
VALUES ($1, $2, $3, $4, $5, $6)
