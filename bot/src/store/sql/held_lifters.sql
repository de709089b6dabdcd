SELECT display_name, zone, reminders, has_left, last_reminder, profile
FROM lifters WHERE source = $1 AND person_id = $2 LIMIT $3
