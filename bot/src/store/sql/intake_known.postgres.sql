-- $1 sources, $2 ids
SELECT inbox.source, inbox.id, inbox.body_hash
FROM UNNEST($1::TEXT[], $2::TEXT[]) AS wanted (source, id)
JOIN inbox ON inbox.source = wanted.source AND inbox.id = wanted.id
