//! What nobody can guess: sessions, addresses that work once, forms and files in hand have one.

/// Something that nobody can guess.
///
/// # Errors
/// A system that has no randomness to give.
pub fn secret() -> Result<String, getrandom::Error> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().map(|it| format!("{it:02x}")).collect())
}
