-- $1 key, $2 fence, $3 now, $4 error. A message withdrawn while it was being sent stays withdrawn,
-- and one that is to leave nothing behind is no dead letter.
UPDATE outbox
SET state = CASE WHEN state = 'ready' AND COALESCE(after_body, '') <> '{}' THEN 'dead' ELSE 'withdrawn' END,
    finished_at = $3, lease_owner = NULL, lease_until = NULL,
    last_error = CASE WHEN after_body = '{}' THEN NULL ELSE $4 END,
    person_id = CASE WHEN after_body = '{}' THEN NULL ELSE person_id END,
    room_key = CASE WHEN after_body = '{}' THEN '' ELSE room_key END,
    body = CASE WHEN after_body = '{}' THEN after_body ELSE body END
WHERE key = $1 AND fence = $2 AND state IN ('ready', 'withdrawn')
