//! Writes a repository of generated recipes: `generate N FOLDER`.

use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [number, folder] = arguments.as_slice() else {
        eprintln!("how many recipes, and into which folder: generate 10000 FOLDER");
        return ExitCode::from(2);
    };
    let Ok(number) = number.parse() else {
        eprintln!("{number} is not a number of recipes");
        return ExitCode::from(2);
    };
    match gyle_tests::generate::write(number, gyle_tests::generate::SEED, Path::new(folder)) {
        Ok(files) => {
            println!("{files} files in {folder}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{folder}: {error}");
            ExitCode::from(2)
        }
    }
}
