-- A new link replaces those not used yet. $1 and $2 the coach, $3 now
UPDATE sign_in_links
SET used_at = $3
WHERE source = $1 AND person_id = $2 AND used_at IS NULL
