INSERT INTO case_files
    (id, case_id, source, person_id, message_id, at, name, media_type, size, sha256, width, height, content, url)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)
ON CONFLICT (id) DO NOTHING
