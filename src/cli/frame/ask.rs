//! Asking at a terminal, line by line: it works on any terminal and with any
//! screen reader. Nothing is open in the ledger while somebody thinks.

use super::failure::Failure;
use super::session::Session;

impl Session<'_> {
    /// Asks for one field. Enter keeps the proposal, `-` leaves it blank; the
    /// end of the input stops everything.
    pub fn field(&mut self, label: &str, proposal: &str) -> Result<String, Failure> {
        let label = self.output.said(label);
        self.field_as_it_is(&label, proposal)
    }

    /// The same for a label that is a name, or that is in the prompt's language already.
    pub fn field_as_it_is(&mut self, label: &str, proposal: &str) -> Result<String, Failure> {
        let question = if proposal.is_empty() {
            format!("{label}: ")
        } else {
            format!("{label} [{proposal}]: ")
        };
        self.output.question(&question)?;
        let typed = self.line()?;
        Ok(match typed.as_str() {
            "" => proposal.to_owned(),
            "-" => String::new(),
            _ => typed,
        })
    }

    /// Asks for yes or no, again until it is one of them. Without a proposal
    /// somebody has to type it: for what must be true, nobody's yes is assumed.
    pub fn yes(&mut self, label: &str, proposal: Option<bool>) -> Result<bool, Failure> {
        let shown = match proposal {
            Some(true) => format!(" [{}]", self.output.said("yes")),
            Some(false) => format!(" [{}]", self.output.said("no")),
            None => String::new(),
        };
        let (label, which) = (self.output.said(label), self.output.said("yes or no"));
        loop {
            self.output
                .question(&format!("{label}, {which}{shown}: "))?;
            let typed = self.line()?.to_lowercase();
            let typed = self.output.language.typed(&typed);
            match (typed.as_str(), proposal) {
                ("", Some(answer)) => return Ok(answer),
                ("y" | "yes", _) => return Ok(true),
                ("n" | "no", _) => return Ok(false),
                _ => {
                    let wrong = self.output.said("  type yes or no");
                    self.output.talk(&wrong)?;
                }
            }
        }
    }

    /// Asks for what nobody else is to see: the terminal does not show what is typed, where it can
    /// be told so.
    pub fn secret(&mut self, label: &str) -> Result<String, Failure> {
        self.output.question(&format!("{label}: "))?;
        match self.hidden {
            None => self.line(),
            // Ctrl-C and the end of the input come as errors here.
            Some(read) => match read() {
                Ok(typed) => Ok(typed.trim().to_owned()),
                Err(_) => {
                    self.output.talk("")?;
                    Err(Failure::Cancelled)
                }
            },
        }
    }

    /// The first line of standard input, for a program that gives it.
    pub fn given_line(&mut self) -> Result<String, Failure> {
        self.line()
    }

    fn line(&mut self) -> Result<String, Failure> {
        let mut line = String::new();
        let count = self.input.read_line(&mut line).map_err(Failure::internal)?;
        if count == 0 {
            // The question stands on an open line.
            self.output.talk("")?;
            return Err(Failure::Cancelled);
        }
        Ok(line.trim().to_owned())
    }
}
