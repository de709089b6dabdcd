-- $9 the version it was read with
UPDATE lifters
SET display_name = $3, zone = $4, reminders = $5, has_left = $6, last_reminder = $7, profile = $8,
    version = version + 1
WHERE source = $1 AND person_id = $2 AND version = $9
