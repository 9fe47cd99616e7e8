//! Reads logs from the standard input, one in each line, and prints them; ends with an error at the first bad one.

use std::io::Read;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut text = String::new();
    std::io::stdin().read_to_string(&mut text)?;
    for log in handrail_followalong::parse_logs(&text)? {
        println!("{}", serde_json::to_string(&log)?);
    }
    Ok(())
}
