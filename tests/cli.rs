//! The program itself: what it prints where, and how it ends.

#![cfg(unix)]

#[cfg(test)]
mod tests {
    use std::io::{BufRead, BufReader, Read};
    use std::process::{Command, Output, Stdio};

    fn offtake(arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_offtake"));
        command.args(arguments).env_clear();
        command
    }

    fn run(arguments: &[&str]) -> Output {
        offtake(arguments).output().unwrap()
    }

    #[test]
    fn wrong_use_ends_with_two_and_a_failure_with_one() {
        for wrong in [&["fly"][..], &[], &["serve", "--listen", "nowhere"]] {
            let output = run(wrong);
            assert_eq!(output.status.code(), Some(2), "{wrong:?}");
            assert!(output.stdout.is_empty(), "{wrong:?}");
        }
        let folder = tempfile::tempdir().unwrap();
        let database = format!("sqlite://{}", folder.path().join("new.db").display());
        let failed = run(&["serve", "--listen", "0.0.0.0:0", "--database", &database]);
        assert_eq!(failed.status.code(), Some(1));
        assert!(failed.stdout.is_empty());
        assert!(String::from_utf8_lossy(&failed.stderr).contains("offtake keys create"));
    }

    #[test]
    fn the_openapi_document_goes_to_standard_output_alone() {
        let output = run(&["openapi"]);
        assert_eq!(output.status.code(), Some(0));
        let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(document["openapi"], "3.1.0");
        assert_eq!(run(&["openapi"]).stdout, output.stdout, "twice the same");
    }

    #[test]
    fn serving_prints_its_address_and_ends_well_when_told_to() {
        let folder = tempfile::tempdir().unwrap();
        let database = format!("sqlite://{}", folder.path().join("new.db").display());
        for told in ["-TERM", "-INT"] {
            let mut server =
                offtake(&["serve", "--listen", "127.0.0.1:0", "--database", &database])
                    .stdout(Stdio::piped())
                    .stderr(Stdio::null())
                    .spawn()
                    .unwrap();
            let mut lines = BufReader::new(server.stdout.take().unwrap());
            let mut line = String::new();
            lines.read_line(&mut line).unwrap();
            let address = line.strip_prefix("listening on http://").unwrap().trim();
            assert!(std::net::TcpStream::connect(address).is_ok(), "{address}");
            let kill = Command::new("kill")
                .args([told, &server.id().to_string()])
                .status();
            assert!(kill.unwrap().success());
            assert_eq!(server.wait().unwrap().code(), Some(0), "{told}");
            let mut rest = String::new();
            lines.read_to_string(&mut rest).unwrap();
            assert_eq!(rest, "", "one line is all");
        }
    }
}
