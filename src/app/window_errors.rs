//! Starting the window, and what to say when there is none.

use super::picture::{PictureBoard, PictureOf, picture};
use super::state::App;
use super::theme;
use crate::cli::{self, ForWindow, PictureTheme};
use crate::files;
use crate::text::app as say;
use std::ffi::OsString;
use std::io::Write;
use std::panic;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Size of a new window and its least size, points.
const SIZE: [f32; 2] = [1360.0, 820.0];
const LEAST_SIZE: [f32; 2] = [960.0, 600.0];

/// Runs the program and gives the exit code. `settings` is the file in which a person's settings
/// are kept, where there is one. `display` says whether the environment names a
/// display; where it does not, or the window cannot be opened, one sentence goes to `err` and the
/// review of the load to `out`, and the exit is 0.
pub fn run(
    args: &[OsString],
    display: bool,
    settings: Option<PathBuf>,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> u8 {
    let Some(asked) = cli::for_window(args.iter().cloned()) else {
        return cli::run(args.iter().cloned(), out, err);
    };
    match asked {
        ForWindow::Open { file, meshes, shop } => {
            match open(file.as_deref(), meshes, shop, settings, display) {
                Ok(()) => 0,
                Err(NoWindow::Load(sentence)) => refuse(err, &sentence),
                Err(NoWindow::System(sentence)) => {
                    // Nobody is left to be told when this fails.
                    let _ = writeln!(err, "{sentence}");
                    cli::run(args.iter().cloned(), out, err)
                }
            }
        }
        ForWindow::Picture {
            file,
            board,
            output,
            theme,
            size,
            level,
            shop,
        } => {
            let of = PictureOf {
                board: match board {
                    cli::PictureBoard::Load => PictureBoard::Load,
                    cli::PictureBoard::Arranged => PictureBoard::Arranged,
                    cli::PictureBoard::Profile => PictureBoard::Profile,
                    cli::PictureBoard::OverTime => PictureBoard::OverTime,
                    cli::PictureBoard::Forecast => PictureBoard::Forecast,
                    cli::PictureBoard::Stopped => PictureBoard::Stopped,
                    cli::PictureBoard::Shorten => PictureBoard::Shorten,
                    cli::PictureBoard::Cost => PictureBoard::Cost,
                    cli::PictureBoard::Measured => PictureBoard::Measured,
                    cli::PictureBoard::Limits => PictureBoard::Limits,
                    cli::PictureBoard::Checks => PictureBoard::Checks,
                    cli::PictureBoard::Lots => PictureBoard::Lots,
                    cli::PictureBoard::Shop => PictureBoard::Shop,
                    cli::PictureBoard::Backlog => PictureBoard::Backlog,
                },
                theme: match theme {
                    PictureTheme::Light => egui::Theme::Light,
                    PictureTheme::Dark => egui::Theme::Dark,
                },
                size,
                level,
            };
            match draw(file.as_deref(), shop, &of, &output) {
                Ok(()) => 0,
                Err(sentence) => refuse(err, &sentence),
            }
        }
    }
}

fn refuse(err: &mut dyn Write, sentence: &str) -> u8 {
    let _ = writeln!(err, "{sentence}");
    2
}

fn draw(
    file: Option<&Path>,
    shop: Option<PathBuf>,
    of: &PictureOf,
    output: &Path,
) -> Result<(), String> {
    if !output
        .extension()
        .is_some_and(|end| end.eq_ignore_ascii_case("png"))
    {
        return Err(say::picture_name(&output.display().to_string()));
    }
    let mut app = App::on_file(file).map_err(|fault| fault.to_string())?;
    if let Some(folder) = &shop {
        files::read_shop_folder(folder).map_err(|fault| fault.to_string())?;
        app.use_shop_folder(folder);
    }
    let levels = app.doc.plan().levels().count();
    if let Some(level) = of.level.filter(|level| !(1..=levels).contains(level)) {
        return Err(say::no_such_level(level, levels));
    }
    let image = picture(&mut app, of);
    let size = of.size.map(|side| u32::try_from(side).unwrap_or(u32::MAX));
    files::write_png(output, size, image.as_raw()).map_err(|fault| fault.to_string())
}

/// Why there is no window.
enum NoWindow {
    /// The load cannot be opened.
    Load(String),
    /// The window system.
    System(String),
}

fn open(
    file: Option<&Path>,
    meshes: Vec<PathBuf>,
    shop: Option<PathBuf>,
    settings: Option<PathBuf>,
    display: bool,
) -> Result<(), NoWindow> {
    if let Some(folder) = &shop {
        files::read_shop_folder(folder).map_err(|fault| NoWindow::Load(fault.to_string()))?;
    }
    let app = match file {
        // Parts without a load are for a new one, not for the demo load.
        None if !meshes.is_empty() => App::on_new(),
        _ => App::on_file(file),
    };
    let mut app = app.map_err(|fault| NoWindow::Load(fault.to_string()))?;
    // Only there does a display have to be named.
    if cfg!(all(unix, not(target_os = "macos"))) && !display {
        return Err(NoWindow::System(say::no_display()));
    }
    app.start_import(meshes);
    let viewport = egui::ViewportBuilder::default()
        .with_title(say::window_title(&app.doc.title()))
        .with_app_id("setterwright")
        .with_inner_size(SIZE)
        .with_min_inner_size(LEAST_SIZE);
    let options = eframe::NativeOptions {
        viewport,
        ..Default::default()
    };
    let begun = Arc::new(AtomicBool::new(false));
    let mark = Arc::clone(&begun);
    let start = move || {
        eframe::run_native(
            "setterwright",
            options,
            Box::new(move |cc| {
                mark.store(true, Ordering::Relaxed);
                theme::install(&cc.egui_ctx);
                let mut app = app;
                // Named now, it goes before the one that was used last.
                if let Some(folder) = &shop {
                    app.use_shop_folder(folder);
                }
                let app = match settings {
                    Some(path) => app.with_settings(&cc.egui_ctx, path),
                    None => app,
                };
                Ok(Box::new(app))
            }),
        )
    };
    match caught(&begun, start) {
        Ok(Ok(())) => Ok(()),
        Ok(Err(error)) => Err(NoWindow::System(sentence(&format!("{error:?}")))),
        Err(reason) => Err(NoWindow::System(sentence(&reason))),
    }
}

/// Runs the window. A panic of the window system before the first pass (a library of the keyboard
/// that is missing is one) becomes its message; a later one is a fault of ours and goes on.
fn caught<T>(begun: &Arc<AtomicBool>, start: impl FnOnce() -> T) -> Result<T, String> {
    let before = Arc::new(panic::take_hook());
    let (loud, begun_then) = (Arc::clone(&before), Arc::clone(begun));
    panic::set_hook(Box::new(move |info| {
        if begun_then.load(Ordering::Relaxed) {
            loud(info);
        }
    }));
    let ran = panic::catch_unwind(panic::AssertUnwindSafe(start));
    panic::set_hook(Box::new(move |info| before(info)));
    ran.map_err(|payload| {
        if begun.load(Ordering::Relaxed) {
            panic::resume_unwind(payload);
        }
        let text = payload.downcast_ref::<String>().cloned();
        text.or_else(|| payload.downcast_ref::<&str>().map(|t| (*t).to_owned()))
            .unwrap_or_default()
    })
}

/// One sentence for what the window system said. Its types are not ours to match on, their words
/// are all there is.
fn sentence(said: &str) -> String {
    let has = |word: &str| said.contains(word);
    if has("could not be loaded") || has("LibraryOpenError") || has("NoWaylandLib") {
        say::library_missing(&library_in(said))
    } else if has("neither WAYLAND_DISPLAY") {
        say::no_display()
    } else if has("XOpenDisplayFailed") || has("NoCompositor") {
        say::display_does_not_answer()
    } else if has("Wgpu(") {
        say::no_graphics_driver()
    } else {
        say::window_fault(said.lines().next().unwrap_or_default())
    }
}

/// The word with `.so` in it.
fn library_in(said: &str) -> String {
    let is_name = |c: char| c.is_ascii_alphanumeric() || "._-".contains(c);
    let word = said
        .split(|c| !is_name(c))
        .map(|word| word.trim_matches('.'))
        .find(|word| word.starts_with("lib") && word.contains(".so"));
    word.unwrap_or("of the window system").to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    // What winit 0.30 and wgpu 30 were seen to say.
    #[test]
    fn every_fault_seen_has_a_sentence_with_what_to_do() {
        let seen = [
            (
                "Library libxkbcommon-x11.so could not be loaded.",
                "libxkbcommon-x11.so is not installed",
            ),
            (
                "WinitEventLoop(Os(OsError { line: 771, file: \"mod.rs\", error: XNotSupported(\
                 LibraryOpenError(OpenError { kind: Library, detail: \"opening library failed \
                 (libX11.so.6: cannot open shared object file)\" })) }))",
                "libX11.so.6 is not installed",
            ),
            (
                "WinitEventLoop(Os(OsError { error: XNotSupported(XOpenDisplayFailed) }))",
                "does not answer",
            ),
            (
                "WinitEventLoop(Os(OsError { error: WaylandError(Connection(NoCompositor)) }))",
                "does not answer",
            ),
            (
                "WinitEventLoop(Os(OsError { error: Misc(\"neither WAYLAND_DISPLAY nor \
                 WAYLAND_SOCKET nor DISPLAY is set.\") }))",
                "names a display",
            ),
            (
                "Wgpu(CreateSurfaceError(CreateSurfaceError { inner: Hal(\
                 FailedToCreateSurfaceForAnyBackend({})) }))",
                "no graphics driver",
            ),
            ("Winit(something new)", "something new"),
        ];
        for (said, wanted) in seen {
            let sentence = sentence(said);
            assert!(sentence.contains(wanted), "{said}: {sentence}");
            assert!(sentence.starts_with("No window: "), "{sentence}");
        }
    }

    #[test]
    fn a_panic_before_the_first_pass_becomes_its_message() {
        let begun = Arc::new(AtomicBool::new(false));
        let ran: Result<(), String> =
            caught(&begun, || panic!("Library libz.so could not be loaded."));
        assert_eq!(ran, Err("Library libz.so could not be loaded.".to_owned()));
        assert_eq!(caught(&begun, || 7), Ok(7));
    }

    fn ran(args: &[&str]) -> (u8, String, String) {
        let args: Vec<OsString> = ["setterwright"]
            .iter()
            .chain(args)
            .map(OsString::from)
            .collect();
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let code = run(&args, false, None, &mut out, &mut err);
        let text = |bytes| String::from_utf8(bytes).unwrap();
        (code, text(out), text(err))
    }

    #[test]
    fn without_a_display_the_review_is_printed_and_the_exit_is_0() {
        let (code, out, err) = ran(&[]);
        assert_eq!(code, 0);
        assert!(err.contains("DISPLAY") && err.lines().count() == 1, "{err}");
        assert!(out.contains(" found by "), "{out}");
    }

    #[test]
    fn a_bad_file_is_one_sentence_and_exit_2() {
        for args in [
            &["no-such.load.ron"][..],
            &["--picture", "load", "no-such.load.ron", "-o", "x.png"],
            &["--picture", "load", "-o", "x.ron"],
            &["--picture", "load", "-o", "x.png", "--level", "99"],
            &["--picture", "load", "-o", "x.png", "--level", "0"],
        ] {
            let (code, out, err) = ran(args);
            assert_eq!((code, out.as_str()), (2, ""), "{args:?}");
            assert_eq!(err.lines().count(), 1, "{err}");
        }
        let two = ["demo-loads/clean.load.ron", "demo-loads/stop.load.ron"];
        let (code, _, err) = ran(&two);
        assert!(code == 2 && err.contains("one load at a time"), "{err}");
        // Flags of a picture without one, and sizes that are none.
        for args in [
            &["-o", "x.png"][..],
            &["--picture", "load", "-o", "x.png", "--size", "0x9"],
        ] {
            let (code, _, err) = ran(args);
            assert_eq!(code, 2, "{args:?}: {err}");
        }
    }
}
