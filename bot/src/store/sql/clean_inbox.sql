DELETE FROM inbox WHERE seq IN (
    SELECT seq FROM inbox WHERE state <> 'waiting' AND finished_at < $1 LIMIT $2
)
