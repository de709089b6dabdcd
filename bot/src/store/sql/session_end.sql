DELETE FROM sessions WHERE hash = $1
