-- $1 JSON array of [source, id]
SELECT inbox.source, inbox.id, inbox.body_hash
FROM json_each($1) AS wanted
JOIN inbox ON inbox.source = wanted.value ->> 0 AND inbox.id = wanted.value ->> 1
