//! Fresh Postgres databases for tests.
//!
//! The server is the one at `OFFTAKE_TEST_POSTGRES_URL`, or else one started from installed binaries: `initdb`,
//! `pg_ctl` and `postgres`, looked for on `PATH` and under `/usr/lib/postgresql/*/bin`. It listens on a socket in a
//! temporary folder only, and one serves all tests of a process.
//!
//! Who starts it is a small shell script that then waits for its standard input to close. That happens when the test
//! process ends, however it ends, so the server never outlives the tests and its folder is removed.
//!
//! Without a server a test cannot run. With `CI=true` that is a failure; elsewhere one line on standard error says
//! what was not run, and why.

use std::io::{BufRead, BufReader, Read, Write};
use std::os::unix::fs::MetadataExt;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::str::FromStr;
use std::sync::{LazyLock, Once};

use sqlx::postgres::PgConnectOptions;
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, PgConnection};

/// The server of this process, or why there is none.
static SERVER: LazyLock<Result<Server, String>> = LazyLock::new(Server::find);

struct Server {
    admin: PgConnectOptions,
    /// Holds the script's standard input open. Statics are never dropped, so it closes when the process ends.
    _script: Option<Child>,
}

/// A database of one test's own.
pub struct PostgresDatabase {
    /// Its address, for `Db::connect`.
    pub url: String,
    name: String,
}

/// Makes an empty database. `None`, after saying so, when there is no server; a failure when `CI=true`.
pub async fn fresh() -> Option<PostgresDatabase> {
    let server = match &*SERVER {
        Ok(server) => server,
        Err(why) => {
            not_run(why);
            return None;
        }
    };
    let mut random = [0; 8];
    getrandom::fill(&mut random).unwrap();
    let name = format!("offtake_test_{:016x}", u64::from_ne_bytes(random));
    administer(server, &format!("create database {name}")).await;
    let url = server
        .admin
        .clone()
        .database(&name)
        .to_url_lossy()
        .to_string();
    Some(PostgresDatabase { url, name })
}

impl PostgresDatabase {
    /// Drops the database, whoever is still connected.
    pub async fn remove(self) {
        if let Ok(server) = &*SERVER {
            administer(server, &format!("drop database {} with (force)", self.name)).await;
        }
    }
}

async fn administer(server: &Server, sql: &str) {
    let mut connection = PgConnection::connect_with(&server.admin).await.unwrap();
    // Names of databases cannot be bound; these are made of hex digits.
    sqlx::query(AssertSqlSafe(sql))
        .execute(&mut connection)
        .await
        .unwrap();
    connection.close().await.unwrap();
}

fn not_run(why: &str) {
    static SAID: Once = Once::new();
    assert!(
        environment("CI").as_deref() != Some("true"),
        "the Postgres half of these tests must run where CI=true: {why}"
    );
    SAID.call_once(|| {
        // Straight to standard error: what a passing test prints is not shown.
        let mut stderr = std::io::stderr().lock();
        writeln!(stderr, "NOT RUN: the Postgres half of these tests. {why}").unwrap();
    });
}

#[expect(
    clippy::disallowed_methods,
    reason = "tests have no config of their own"
)]
fn environment(name: &str) -> Option<String> {
    std::env::var(name).ok().filter(|value| !value.is_empty())
}

impl Server {
    fn find() -> Result<Self, String> {
        if let Some(url) = environment("OFFTAKE_TEST_POSTGRES_URL") {
            let admin = PgConnectOptions::from_str(&url)
                .map_err(|error| format!("OFFTAKE_TEST_POSTGRES_URL is not an address: {error}"))?;
            return Ok(Self {
                admin,
                _script: None,
            });
        }
        let binaries = binaries().ok_or(
            "No initdb, pg_ctl and postgres on PATH or in /usr/lib/postgresql/*/bin, \
             and OFFTAKE_TEST_POSTGRES_URL is not set.",
        )?;
        Self::start(&binaries)
    }

    fn start(binaries: &Path) -> Result<Self, String> {
        const SCRIPT: &str = r#"
            binaries=$1 folder=$2
            # Caught, so that the server is stopped below even when a signal ends the tests.
            trap : HUP INT TERM PIPE
            make() {
                "$binaries/initdb" -D "$folder/data" -U offtake --auth=trust --encoding=UTF8 --locale=C --no-sync "$@"
            }
            if {
                # Text sorted otherwise than by its bytes, where the server can, so that a query that relies on the
                # order of bytes without saying so is found out.
                { make --locale-provider=icu --icu-locale=en-US || make; } &&
                "$binaries/pg_ctl" -D "$folder/data" -l "$folder/log" -w -t 60 -o "-k '$folder' \
                    -c listen_addresses= -c fsync=off -c full_page_writes=off" start
            } </dev/null >"$folder/start" 2>&1
            then echo ready
            else cat "$folder/start" "$folder/log" 2>/dev/null
            fi
            exec >/dev/null
            cat
            "$binaries/pg_ctl" -D "$folder/data" -m immediate -w stop
            rm -rf "$folder"
        "#;
        let folder = tempfile::Builder::new()
            .prefix("offtake-pg-")
            .tempdir()
            .map_err(|error| format!("No temporary folder for a server: {error}."))?
            .keep();
        let mut command = Command::new("/bin/sh");
        command
            .args(["-c", SCRIPT, "sh"])
            .arg(binaries)
            .arg(&folder)
            .current_dir(&folder);
        command
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null());
        if std::fs::metadata(&folder).is_ok_and(|made| made.uid() == 0) {
            let (user, group) = ordinary_user()
                .ok_or("Postgres refuses to run as root, and there is no other user.")?;
            std::os::unix::fs::chown(&folder, Some(user), Some(group)).map_err(|error| {
                format!("The folder of the server cannot be given away: {error}.")
            })?;
            command.uid(user).gid(group);
        }
        let mut script = command
            .spawn()
            .map_err(|error| format!("/bin/sh does not start: {error}."))?;
        let mut said = BufReader::new(script.stdout.take().ok_or("no output")?);
        let mut line = String::new();
        said.read_line(&mut line)
            .map_err(|error| error.to_string())?;
        if line.trim() != "ready" {
            drop(script.stdin.take());
            said.read_to_string(&mut line)
                .map_err(|error| error.to_string())?;
            // Binaries that are there and do not work are no reason to leave tests out.
            panic!("Postgres in {} does not start: {line}", binaries.display());
        }
        let admin = PgConnectOptions::new_without_pgpass()
            .socket(&folder)
            .port(5432)
            .username("offtake")
            .database("postgres");
        Ok(Self {
            admin,
            _script: Some(script),
        })
    }
}

/// The folder with the server's programs, the newest version first where several are installed.
fn binaries() -> Option<PathBuf> {
    let path = environment("PATH").unwrap_or_default();
    let mut versions: Vec<(u32, PathBuf)> = std::fs::read_dir("/usr/lib/postgresql")
        .into_iter()
        .flatten()
        .filter_map(|entry| {
            let entry = entry.ok()?;
            Some((
                entry.file_name().to_str()?.parse().ok()?,
                entry.path().join("bin"),
            ))
        })
        .collect();
    versions.sort();
    std::env::split_paths(&path)
        .chain(versions.into_iter().rev().map(|(_, folder)| folder))
        // Links on PATH lead to where the programs find each other.
        .filter_map(|folder| {
            Some(
                folder
                    .join("initdb")
                    .canonicalize()
                    .ok()?
                    .parent()?
                    .to_owned(),
            )
        })
        .find(|folder| {
            ["initdb", "pg_ctl", "postgres"]
                .iter()
                .all(|program| folder.join(program).is_file())
        })
}

/// User and group ids of somebody a server may run as when the tests run as root.
fn ordinary_user() -> Option<(u32, u32)> {
    let users = std::fs::read_to_string("/etc/passwd").ok()?;
    ["postgres", "nobody"].iter().find_map(|wanted| {
        let line = users
            .lines()
            .find(|line| line.split(':').next() == Some(wanted))?;
        let mut ids = line.split(':').skip(2);
        Some((ids.next()?.parse().ok()?, ids.next()?.parse().ok()?))
    })
}
