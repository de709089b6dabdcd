-- $1 before, $2 the row before, $3 limit
SELECT seq, body FROM inbox
WHERE state <> 'waiting' AND finished_at < $1 AND seq > $2 AND body LIKE '%"attachments":[{%'
ORDER BY seq LIMIT $3
