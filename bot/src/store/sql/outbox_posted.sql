-- $1 key. What the platform has of it.
SELECT body, platform_message_id FROM outbox
WHERE key = $1 AND state = 'sent' AND platform_message_id IS NOT NULL
