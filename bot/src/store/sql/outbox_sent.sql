-- $1 key, $2 fence, $3 now, $4 the platform's message id. Withdrawn too late is sent all the same.
UPDATE outbox
SET state = 'sent', finished_at = $3, platform_message_id = $4, lease_owner = NULL, lease_until = NULL
WHERE key = $1 AND fence = $2 AND state IN ('ready', 'withdrawn')
