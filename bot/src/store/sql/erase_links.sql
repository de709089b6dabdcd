DELETE FROM data_links WHERE source = $1 AND person_id = $2
