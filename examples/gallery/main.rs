//! Makes the gallery: `cargo run --release --example gallery`.
//!
//! Shaded pictures of the shipped designs, pages of the fork's job sheet as Chromium shows and
//! prints them, and `made.txt`, from which `tests/gallery.rs` knows when it is stale. It needs
//! Chromium and `pdftoppm` for the pages; without them the old pages stay, and it says so.

mod pieces;

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Programs that are Chromium under one name or another.
const BROWSERS: [&str; 3] = ["chromium", "chromium-browser", "google-chrome"];

fn main() -> Result<(), Box<dyn Error>> {
    let gallery = Path::new(env!("CARGO_MANIFEST_DIR")).join("gallery");
    fs::create_dir_all(&gallery)?;
    let mut list = String::new();
    for (name, bytes) in pieces::all()? {
        list.push_str(&pieces::line(&name, &bytes));
        if name == pieces::SHEET {
            pages(&bytes, &gallery)?;
        } else {
            fs::write(gallery.join(&name), &bytes)?;
        }
    }
    fs::write(gallery.join(pieces::LIST), list)?;
    println!("made {}", gallery.display());
    Ok(())
}

/// Screenshots of the sheet: a phone, and pages on A4.
fn pages(sheet: &[u8], gallery: &Path) -> Result<(), Box<dyn Error>> {
    let folder = std::env::temp_dir().join(format!("treenwright-gallery-{}", std::process::id()));
    fs::create_dir_all(&folder)?;
    let done = draw_pages(sheet, &folder, gallery);
    fs::remove_dir_all(&folder)?;
    done
}

fn draw_pages(sheet: &[u8], folder: &Path, gallery: &Path) -> Result<(), Box<dyn Error>> {
    let Some(browser) = BROWSERS.into_iter().find(|name| runs(name, "--version")) else {
        println!("NO CHROMIUM: the pages of the sheet are as they were");
        return Ok(());
    };
    let sheet = std::str::from_utf8(sheet)?;
    // A headless window is no narrower than 500, so the phone is a frame in it.
    let phone = sheet.replace('&', "&amp;").replace('"', "&quot;");
    let phone = format!(
        "<!DOCTYPE html><meta charset=\"utf-8\"><body style=\"margin:0\"><iframe style=\"border:0;width:390px;\
         height:1150px\" scrolling=no srcdoc=\"{phone}\"></iframe>"
    );
    let write = |name: &str, text: &str| -> Result<PathBuf, Box<dyn Error>> {
        let path = folder.join(name);
        fs::write(&path, text)?;
        Ok(path)
    };
    let page = write("phone.html", &phone)?;
    let shot = format!("--screenshot={}", gallery.join("sheet-phone.png").display());
    run(browser, folder, &[&shot, "--window-size=500,1150", &address(&page)])?;
    if !runs("pdftoppm", "-v") {
        println!("NO PDFTOPPM: the printed pages of the sheet are as they were");
        return Ok(());
    }
    let page = write("A4.html", &sheet.replace("</head>", "<style>@page{size:A4}</style></head>"))?;
    let pdf = folder.join("A4.pdf");
    let print = format!("--print-to-pdf={}", pdf.display());
    run(browser, folder, &[&print, "--no-pdf-header-footer", &address(&page)])?;
    for number in 1..=5 {
        let stem = format!("sheet-a4-{number}");
        let number = number.to_string();
        let done = Command::new("pdftoppm")
            .args(["-r", "62", "-gray", "-png", "-singlefile", "-f", &number, "-l", &number])
            .arg(&pdf)
            .arg(gallery.join(stem))
            .status()?;
        if !done.success() {
            return Err("pdftoppm failed".into());
        }
    }
    Ok(())
}

fn address(page: &Path) -> String {
    format!("file://{}", page.display())
}

fn runs(program: &str, argument: &str) -> bool {
    let quiet =
        Command::new(program).arg(argument).stdout(Stdio::null()).stderr(Stdio::null()).status();
    quiet.is_ok_and(|status| status.success())
}

fn run(browser: &str, folder: &Path, more: &[&str]) -> Result<(), Box<dyn Error>> {
    let profile = format!("--user-data-dir={}", folder.join("profile").display());
    let done = Command::new(browser)
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run"])
        .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
        .args(["--hide-scrollbars", &profile])
        .args(more)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()?;
    if done.success() { Ok(()) } else { Err(format!("{browser} failed").into()) }
}
