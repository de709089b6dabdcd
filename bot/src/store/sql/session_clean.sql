DELETE FROM sessions WHERE ends_at <= $1
