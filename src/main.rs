//! The thin binary.

fn main() -> std::process::ExitCode {
    let (mut out, mut err) = (std::io::stdout().lock(), std::io::stderr().lock());
    setterwright::cli::run(std::env::args_os(), &mut out, &mut err).into()
}
