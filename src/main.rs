//! The thin binary.

use std::env;
use std::process::ExitCode;

fn main() -> ExitCode {
    let named = |name| env::var_os(name).is_some_and(|value| !value.is_empty());
    let display = ["WAYLAND_DISPLAY", "WAYLAND_SOCKET", "DISPLAY"]
        .into_iter()
        .any(named);
    let settings = setterwright::files::settings_path(|name| env::var_os(name));
    let args: Vec<_> = env::args_os().collect();
    let (mut out, mut err) = (std::io::stdout(), std::io::stderr());
    setterwright::app::run(&args, display, settings, &mut out, &mut err).into()
}
