SELECT COUNT(*) AS number
FROM sign_in_links
WHERE source = $1 AND person_id = $2 AND created_at > $3
