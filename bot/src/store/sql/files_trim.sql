-- $1, $2 person, $3 how many of the newest stay. One message brings four at most.
DELETE FROM case_files WHERE id IN (
    SELECT id FROM case_files WHERE source = $1 AND person_id = $2
    ORDER BY seq DESC LIMIT 100 OFFSET $3
)
