-- Works once. $1 hash, $2 now
UPDATE sign_in_links
SET used_at = $2
WHERE hash = $1 AND used_at IS NULL AND expires_at > $2
RETURNING source, person_id
