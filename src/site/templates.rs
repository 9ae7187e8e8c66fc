//! The templates: compiled in, strict about what is missing, every value escaped.

use minijinja::value::Serde;
use minijinja::{AutoEscape, Environment, UndefinedBehavior, Value, context};
use serde::Serialize;

/// The style sheet of all pages.
pub const STYLE: &str = include_str!("assets/ruleout.css");

const PLAYBOOK: &str = concat!(include_str!("templates/head.html"), include_str!("templates/playbook.html"));
const INDEX: &str = concat!(include_str!("templates/head.html"), include_str!("templates/index.html"));
const GUIDE: &str = concat!(include_str!("templates/head.html"), include_str!("templates/guide.html"));
const UNIT: &str = concat!(include_str!("templates/head.html"), include_str!("templates/unit.html"));
const COVERAGE: &str = concat!(include_str!("templates/head.html"), include_str!("templates/coverage.html"));
const SAID: &str = include_str!("templates/said.html");
const FAMILIES: &str = include_str!("templates/families.html");
const MOVED: &str = include_str!("templates/moved.html");

/// What a program error in a template says. It never comes from a playbook: a test renders every template.
#[derive(Debug)]
pub struct TemplateError(String);

impl std::fmt::Display for TemplateError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "A page could not be laid out. This is a mistake in Ruleout, not in your playbooks: {}", self.0)
    }
}

impl From<minijinja::Error> for TemplateError {
    fn from(error: minijinja::Error) -> Self {
        Self(error.to_string())
    }
}

/// The templates, ready to be filled in.
pub struct Templates {
    environment: Environment<'static>,
}

impl Templates {
    /// Reads them.
    ///
    /// # Errors
    /// [`TemplateError`] where one of them does not hold together.
    pub fn new() -> Result<Self, TemplateError> {
        let mut environment = Environment::new();
        environment.set_undefined_behavior(UndefinedBehavior::Strict);
        environment.set_auto_escape_callback(|_| AutoEscape::Html);
        let pages = [
            ("playbook", PLAYBOOK),
            ("index", INDEX),
            ("guide", GUIDE),
            ("unit", UNIT),
            ("coverage", COVERAGE),
            ("moved", MOVED),
        ];
        let pieces = [("said", SAID), ("families", FAMILIES)];
        for (name, text) in pages.into_iter().chain(pieces) {
            environment.add_template(name, text)?;
        }
        Ok(Self { environment })
    }

    /// Fills one in. `root` leads from the page to the site folder: empty or `../`.
    ///
    /// # Errors
    /// [`TemplateError`] where the template wants what the page does not have.
    pub fn fill(&self, name: &str, heading: &str, root: &str, page: &impl Serialize) -> Result<String, TemplateError> {
        let template = self.environment.get_template(name)?;
        Ok(template.render(context! { heading, root, p => Value::from(Serde(page)) })?)
    }

    /// The same as bytes, for a page that is known to take about `room` of them.
    ///
    /// # Errors
    /// As [`Templates::fill`].
    pub fn fill_large(
        &self,
        name: &str,
        heading: &str,
        root: &str,
        page: &impl Serialize,
        room: usize,
    ) -> Result<Vec<u8>, TemplateError> {
        let template = self.environment.get_template(name)?;
        let mut bytes = Vec::with_capacity(room);
        template.render_captured_to(context! { heading, root, p => Value::from(Serde(page)) }, &mut bytes)?;
        Ok(bytes)
    }
}
