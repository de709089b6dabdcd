DELETE FROM case_files WHERE source = $1 AND person_id = $2
