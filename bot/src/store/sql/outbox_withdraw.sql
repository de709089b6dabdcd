-- $1 key, $2 fence, $3 now
UPDATE outbox
SET state = 'withdrawn', finished_at = $3, lease_owner = NULL, lease_until = NULL,
    person_id = CASE WHEN after_body = '{}' THEN NULL ELSE person_id END,
    room_key = CASE WHEN after_body = '{}' THEN '' ELSE room_key END,
    last_error = CASE WHEN after_body = '{}' THEN NULL ELSE last_error END,
    body = COALESCE(after_body, body)
WHERE key = $1 AND fence = $2 AND state IN ('ready', 'withdrawn')
