SELECT id, case_id, source, person_id, message_id, at, name, media_type, size, sha256, width, height,
    content, url
FROM case_files WHERE case_id = $1 AND id = $2
