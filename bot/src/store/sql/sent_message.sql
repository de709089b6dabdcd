SELECT body
FROM outbox
WHERE platform_message_id IS NOT NULL AND source = $1 AND platform_message_id = $2
ORDER BY seq DESC
LIMIT 1
