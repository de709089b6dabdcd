SELECT id, source, person_id, made_at, minutes FROM sheets
WHERE source = $1 AND made_at >= $2
ORDER BY made_at DESC, id
LIMIT 1
