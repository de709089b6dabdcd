DELETE FROM outbox WHERE seq IN (
    SELECT seq FROM outbox WHERE state <> 'ready' AND finished_at < $1 LIMIT $2
)
