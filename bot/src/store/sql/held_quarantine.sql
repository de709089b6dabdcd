-- $2 pattern: the person's id in quotation marks
SELECT id, received_at, reason, body
FROM quarantine WHERE source = $1 AND body LIKE $2 ESCAPE '\' ORDER BY received_at LIMIT $3
