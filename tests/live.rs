//! The live page's server, spoken to over its port: who is answered, and that no message makes it
//! fall.
#![cfg(feature = "live")]

use std::io::{Read, Write};
use std::net::{Shutdown, SocketAddr, TcpStream};
use std::sync::{Arc, Mutex, mpsc};
use std::time::Duration;
use treenwright::finding::{Finding, Source};
use treenwright::live::{Bench, LiveFile, Refusal, Served, Shelf, serve};
use treenwright::params::template;

/// Files in memory, and the one that a design may name.
struct Memory(Vec<(Source, Mutex<String>)>, Mutex<Option<Vec<u8>>>);

impl Shelf for Memory {
    fn files(&self) -> Vec<LiveFile> {
        let file = |source: &Source| LiveFile {
            source: *source,
            shown: format!("{}.toml", source.name()),
            start: None,
        };
        self.0.iter().map(|(source, _)| file(source)).collect()
    }
    fn whole(&self, folder: &str) -> String {
        folder.to_owned()
    }
    fn read(&self, file: usize) -> Result<Option<String>, Box<Finding>> {
        Ok(self.0.get(file).map(|(_, text)| text.lock().expect("no panic").clone()))
    }
    fn lend(&self, _: usize, name: &str) -> Result<Vec<u8>, String> {
        let lent = self.1.lock().expect("no panic");
        lent.clone().ok_or_else(|| format!("no {name} is there"))
    }
    fn write(&self, file: usize, text: &str, _: Option<&str>) -> Result<bool, Refusal> {
        *self.0[file].1.lock().expect("no panic") = text.to_owned();
        Ok(true)
    }
}

struct Here {
    port: u16,
    token: String,
    shelf: Arc<Memory>,
    bench: Arc<Bench>,
}

/// Serves the shipped examples until the test's process ends.
fn here() -> Here {
    let all = [Source::Design, Source::Board, Source::Shop];
    let texts = all.map(|s| (s, Mutex::new(template(s).to_owned())));
    let shelf = Arc::new(Memory(texts.into(), Mutex::new(None)));
    let bench = Arc::new(Bench::new(shelf.clone()));
    let (tell, told) = mpsc::channel();
    let served = bench.clone();
    std::thread::spawn(move || {
        let ready = |address: &str| tell.send(address.to_owned()).expect("someone waits");
        serve(&Served { bench: served, port: 0, ready: &ready }).expect("it serves");
    });
    let address = told.recv_timeout(Duration::from_secs(30)).expect("an address");
    let rest = address.strip_prefix("http://127.0.0.1:").expect("the loopback address");
    let (port, token) = rest.trim_end_matches('/').split_once('/').expect("a port and a word");
    Here { port: port.parse().expect("a number"), token: token.to_owned(), shelf, bench }
}

struct Answer {
    status: u16,
    head: String,
    body: Vec<u8>,
}

impl Answer {
    fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

impl Answer {
    /// What is said of the pictures that stand behind it.
    fn head_json(&self) -> serde_json::Value {
        let long = u32::from_le_bytes(self.body[..4].try_into().expect("four bytes")) as usize;
        serde_json::from_slice(&self.body[4..4 + long]).expect("JSON")
    }
}

impl Here {
    fn own(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Sends bytes, and reads what comes back until the other end closes. `ends` closes this one first.
    fn raw(&self, bytes: &[u8], ends: bool) -> Answer {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).expect("it listens");
        stream.set_read_timeout(Some(Duration::from_secs(60))).expect("a time");
        // It may refuse before all is sent.
        let _ = stream.write_all(bytes);
        if ends {
            let _ = stream.shutdown(Shutdown::Write);
        }
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let end = all.windows(4).position(|four| four == b"\r\n\r\n").unwrap_or(all.len());
        let head = String::from_utf8_lossy(&all[..end]).to_lowercase();
        let status = head.split(' ').nth(1).and_then(|code| code.parse().ok()).unwrap_or(0);
        Answer { status, head, body: all.split_off((end + 4).min(all.len())) }
    }

    fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
        let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        for (name, value) in headers {
            head += &format!("{name}: {value}\r\n");
        }
        head += &format!("Content-Length: {}\r\n\r\n", body.len());
        self.raw(&[head.as_bytes(), body].concat(), false)
    }

    /// As the page itself asks.
    fn get(&self, path: &str) -> Answer {
        let host = format!("127.0.0.1:{}", self.port);
        self.ask("GET", &format!("/{}/{path}", self.token), &[("Host", &host)], b"")
    }

    fn post(&self, path: &str, body: &[u8]) -> Answer {
        let (host, own) = (format!("127.0.0.1:{}", self.port), self.own());
        let headers = [
            ("Host", host.as_str()),
            ("Origin", own.as_str()),
            ("Content-Type", "application/json"),
        ];
        self.ask("POST", &format!("/{}/{path}", self.token), &headers, body)
    }
}

#[test]
fn only_its_own_page_is_answered() {
    let here = here();
    let (host, own) = (format!("127.0.0.1:{}", here.port), here.own());
    let index = format!("/{}/", here.token);
    let status = |headers: &[(&str, &str)]| here.ask("GET", &index, headers, b"").status;
    assert_eq!(status(&[("Host", &host)]), 200);
    assert_eq!(status(&[("Host", &format!("localhost:{}", here.port))]), 200);
    for wrong in
        ["evil.example", "127.0.0.1", "127.0.0.1:1", &format!("evil.example:{}", here.port)]
    {
        assert_eq!(status(&[("Host", wrong)]), 403, "{wrong}");
    }
    assert_eq!(status(&[("Host", &host), ("Host", "evil.example")]), 403);
    assert_eq!(status(&[("Host", &host), ("Origin", &own)]), 200);
    for wrong in
        ["http://evil.example", "null", "http://127.0.0.1:1", &own.replace("http", "https")]
    {
        assert_eq!(status(&[("Host", &host), ("Origin", wrong)]), 403, "{wrong}");
    }
    assert_eq!(status(&[("Host", &host), ("Sec-Fetch-Site", "cross-site")]), 403);
    let opened =
        [("Host", host.as_str()), ("Sec-Fetch-Site", "cross-site"), ("Sec-Fetch-Mode", "navigate")];
    assert_eq!(status(&opened), 200);

    for path in [
        "/",
        "/form",
        "/00000000000000000000000000000000/",
        &format!("/{}x/", here.token),
        &format!("/{}/", &here.token[1..]),
        "//",
        &format!("//{}/", here.token),
    ] {
        let answer = here.ask("GET", path, &[("Host", &host)], b"");
        assert_eq!(answer.status, 404, "{path}");
        assert!(!answer.text().contains(&here.token));
    }
    // What changes anything needs the origin, and is JSON.
    let edit = format!("/{}/save", here.token);
    let kind = ("Content-Type", "application/json");
    let status = |headers: &[(&str, &str)]| here.ask("POST", &edit, headers, b"{}").status;
    assert_eq!(status(&[("Host", &host), kind]), 403);
    assert_eq!(status(&[("Host", &host), ("Origin", "http://evil.example"), kind]), 403);
    assert_eq!(status(&[("Host", &host), ("Origin", &own), ("Content-Type", "text/plain")]), 415);
    assert_eq!(status(&[("Host", &host), ("Origin", &own), kind]), 200);
}

#[test]
fn every_answer_forbids_what_the_page_does_not_need() {
    let here = here();
    for path in ["", "page/page.js", "form", "nothing"] {
        let head = here.get(path).head;
        for line in [
            "x-content-type-options: nosniff",
            "referrer-policy: no-referrer",
            "cross-origin-opener-policy: same-origin",
            "cache-control: no-store",
            "content-security-policy: default-src 'none'; script-src 'self'; style-src 'self'",
        ] {
            assert!(head.contains(line), "{path}: {line}\n{head}");
        }
        assert!(!head.contains("unsafe"), "{head}");
    }
    let page = here.get("").text();
    assert!(!page.contains("<style") && !page.contains("style="), "a style in the page");
    let of_event = |word: &str| word.starts_with("on") && word.contains('=');
    assert!(!page.split_whitespace().any(of_event), "a script in an attribute");
    assert!(page.matches("<script").count() == 1 && page.contains("<script type=\"module\" src="));
}

#[test]
fn it_listens_at_the_loopback_address_only() {
    let here = here();
    for other in [[127, 0, 0, 2], [127, 1, 1, 1]] {
        let at = SocketAddr::from((other, here.port));
        assert!(TcpStream::connect_timeout(&at, Duration::from_secs(2)).is_err(), "{at}");
    }
    let v6 = SocketAddr::from(([0, 0, 0, 0, 0, 0, 0, 1], here.port));
    assert!(TcpStream::connect_timeout(&v6, Duration::from_secs(2)).is_err());
}

#[test]
fn paths_cannot_be_climbed() {
    let here = here();
    for path in [
        "../Cargo.toml",
        "..%2fCargo.toml",
        "page/../../Cargo.toml",
        "page/..%2f..%2fCargo.toml",
        "page/%2e%2e/%2e%2e/Cargo.toml",
        "page//etc/passwd",
        "page/%2fetc%2fpasswd",
        "page/",
        "page/page.js/..",
        "drawing/../0",
        "drawing/views/-1",
        "drawing/views/99999999999999999999",
        "drawing/etc/0",
        "made/../form",
        "made/nothing",
        "page/page.js%00",
        "sheet/../form",
    ] {
        let answer = here.get(path);
        assert!(matches!(answer.status, 400 | 404), "{path}: {}", answer.status);
        let text = answer.text();
        assert!(!text.contains("[package]") && !text.contains("root:"), "{path}: {text}");
    }
}

#[test]
fn a_long_message_is_refused_and_a_broken_one_is_answered() {
    let here = here();
    for path in ["edit", "save", "step", "choose", "packet"] {
        assert_eq!(here.post(path, &vec![b' '; 1_000_001]).status, 413, "{path}");
        for broken in [
            &b""[..],
            b"{",
            b"null",
            b"[]",
            b"\"x\"",
            b"{\"file\":-1}",
            b"\xff\xfe",
            b"{\"file\":1e99,\"since\":0}",
            &[b'['; 5000],
        ] {
            if path == "save"
                && matches!(
                    broken,
                    b"null" | b"[]" | b"\"x\"" | b"{\"file\":-1}" | b"{\"file\":1e99,\"since\":0}"
                )
            {
                continue;
            }
            assert_eq!(here.post(path, broken).status, 400, "{path}: {broken:?}");
        }
    }
    for bytes in [
        &b"\r\n\r\n"[..],
        b"GET",
        b"GET / HTTP/9.9\r\n\r\n",
        b"\x16\x03\x01\x00",
        b"POST / HTTP/1.1\r\nContent-Length: -4\r\n\r\n",
    ] {
        assert!(here.raw(bytes, true).status < 500);
    }
    assert_eq!(here.get("").status, 200, "it still answers");
}

/// An edit, as the page sends it.
fn edit(settings: &str) -> Vec<u8> {
    format!("{{\"file\":0,\"since\":1,\"page\":\"t\",\"gesture\":1,\"settings\":[{settings}]}}")
        .into_bytes()
}

#[test]
fn whatever_the_files_become_it_answers_and_keeps_the_last_picture() {
    let here = here();
    let head = Answer::head_json;
    let good = here.get("made/fine");
    assert_eq!((good.status, head(&good)["stale"].as_bool()), (200, Some(false)));
    assert!(good.head.contains("server-timing: read;dur="), "{}", good.head);
    let whole = |text: &str| {
        let text = serde_json::to_string(text).expect("a text");
        format!("{{\"file\":0,\"since\":99,\"page\":\"t\",\"gesture\":1,\"text\":{text}}}")
            .into_bytes()
    };
    for broken in [
        "",
        "[",
        "a = ",
        "\u{0}",
        "[utensil]\nname = 3\n",
        "[[bowl]]\n[bowl]\n",
        &"[".repeat(3000),
        &"a.".repeat(3000),
    ] {
        let answer = here.post("edit", &whole(broken));
        assert_eq!(answer.status, 200, "{broken:?}: {}", answer.text());
        let head = head(&answer);
        assert_eq!(head["stale"], true, "{broken:?}");
        assert_eq!(head["pieces"].as_array().map(Vec::len), Some(1), "the last good picture stays");
        assert!(!head["findings"].as_array().expect("findings").is_empty(), "{broken:?}");
    }
    assert_eq!(here.post("edit", &whole(template(Source::Design))).status, 200);
    let changed =
        here.post("edit", &edit("{\"path\":[\"bowl\",\"depth\"],\"to\":{\"text\":\"14 mm\"}}"));
    let head = head(&changed);
    assert_eq!((head["stage"].as_str(), head["stale"].as_bool()), (Some("coarse"), Some(false)));
    let sizes = head["pieces"][0]["sizes"].as_array().expect("sizes");
    let depth = sizes.iter().find(|size| size["key"] == "bowl.depth").expect("the hollow");
    assert_eq!(depth["asked"], "14 mm");
    for refused in [
        "{\"path\":[],\"to\":{\"text\":\"x\"}}",
        "{\"path\":[\"bowl\"],\"to\":{\"text\":\"x\"}}",
        "{\"path\":[\"handle\",\"width\",99,\"size\"],\"to\":{\"text\":\"1 mm\"}}",
    ] {
        assert_eq!(here.post("edit", &edit(refused)).status, 409, "{refused}");
    }
    // Nothing was written so far.
    assert_eq!(*here.shelf.0[0].1.lock().expect("no panic"), template(Source::Design));
    assert_eq!(here.post("save", b"{}").status, 200);
    let saved = here.shelf.0[0].1.lock().expect("no panic").clone();
    assert_eq!(saved, template(Source::Design).replace("depth = \"15 mm\"", "depth = \"14 mm\""));
    assert!(here.get("drawing/views/0").text().starts_with("<svg"));
    assert_eq!(here.get("drawing/views/7").status, 204);
}

/// A drawn outline of 300 units, a spoon's, which is so wide in its head.
fn outline(wide: f64) -> Vec<u8> {
    let half = wide / 2.0;
    let side =
        |to: f64| format!("C210 {} 216 {to} 250 {to} C284 {to} 300 {} 300 0", to / 5.0, to / 2.0);
    let back =
        format!("C300 {0} 284 {half} 250 {half} C216 {half} 210 {1} 180 6", half / 2.0, half / 5.0);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 -40 300 80\"><path d=\"M0 0 C0 -8 6 -11 14 -11 \
         C70 -11 120 -6 180 -6 {} {back} C120 6 70 11 14 11 C6 11 0 8 0 0 Z\"/></svg>",
        side(-half)
    )
    .into_bytes()
}

/// What a drawing becomes on disk is made anew, though no text is another; one that is away, or half
/// written, is a finding, and the last picture stays.
#[test]
fn what_a_design_names_is_read_again_when_something_happened_to_it() {
    let here = here();
    let draw = |drawing: Option<Vec<u8>>| {
        *here.shelf.1.lock().expect("no panic") = drawing;
        here.bench.look_at_lent();
        here.get("made/fine").head_json()
    };
    let width = |head: &serde_json::Value| {
        let sizes = head["pieces"][0]["sizes"].as_array().expect("sizes").clone();
        let width = sizes.iter().find(|size| size["key"] == "bowl.width").expect("the bowl's");
        let figure = width["measured"].as_str().expect("a text").trim_end_matches(" mm").to_owned();
        figure.parse::<f64>().expect("a number")
    };
    let codes = |head: &serde_json::Value| -> Vec<String> {
        let faults = head["findings"].as_array().expect("findings").iter();
        let faults = faults.filter(|one| one["severity"] == "fault");
        faults.map(|one| one["code"].as_str().expect("a code").to_owned()).collect()
    };
    draw(Some(outline(60.0)));
    let text = template(Source::Design);
    let lists = text.find("width = [").zip(text.find("thickness = ["));
    let (from, to) = lists.expect("the shipped design has both");
    let text = format!("{}{}", &text[..from], &text[to..]);
    let left_out = ["width = \"65 mm\"", "fullness = ", "widest = ", "sway = ", "end = "];
    let lines = text.lines().filter(|line| !left_out.iter().any(|out| line.starts_with(out)));
    let text =
        lines.collect::<Vec<_>>().join("\n").replace("[utensil]", "[utensil]\nplan = \"mine.svg\"");
    let text = serde_json::to_string(&text).expect("a text");
    let edit = format!("{{\"file\":0,\"since\":99,\"page\":\"t\",\"gesture\":1,\"text\":{text}}}");
    let coarse = here.post("edit", edit.as_bytes()).head_json();
    assert_eq!(codes(&coarse), Vec::<String>::new(), "{:?}", coarse["findings"]);

    let first = here.get("made/fine").head_json();
    assert!((width(&first) - 60.0).abs() < 0.1, "{}", width(&first));
    let second = draw(Some(outline(64.0)));
    assert!((width(&second) - 64.0).abs() < 0.1, "{}", width(&second));
    assert!(second["revision"].as_u64() > first["revision"].as_u64());
    for broken in [None, Some(Vec::new()), Some(outline(64.0)[..200].to_vec())] {
        let head = draw(broken);
        assert_eq!(
            (codes(&head), head["stale"].as_bool()),
            (vec!["plan-file".to_owned()], Some(true))
        );
        assert!((width(&head) - 64.0).abs() < 0.1, "the last good picture stays");
    }
    let again = draw(Some(outline(58.0)));
    assert_eq!(again["stale"], false);
    assert!((width(&again) - 58.0).abs() < 0.1, "{}", width(&again));
    // Nothing of this is a change of the files that could be taken back or saved.
    assert_eq!(again["state"]["files"][1]["unsaved"], false);
}
