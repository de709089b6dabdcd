DELETE FROM case_files WHERE id IN (SELECT id FROM case_files WHERE at < $1 LIMIT $2)
