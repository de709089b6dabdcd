-- $1 limit
DELETE FROM consents WHERE seq IN (
    SELECT old.seq FROM consents AS old
    WHERE NOT EXISTS (SELECT 1 FROM lifters WHERE source = old.source AND person_id = old.person_id)
    LIMIT $1
)
