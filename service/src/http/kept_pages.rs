//! Pages that are made when they are first asked for, and kept: starting stays quick, and nobody makes the service compute
//! an example twice.

use super::reply::{self, Tagged};
use std::collections::HashMap;
use std::sync::{Arc, PoisonError, RwLock};

/// The pages made so far. Only pages that there are come in, so that there are few.
#[derive(Debug, Default)]
pub struct KeptPages(RwLock<HashMap<(&'static str, &'static str), Arc<Tagged>>>);

impl KeptPages {
    /// A page of a folder; two who ask at once both make it, with the same bytes.
    pub fn page(
        &self,
        folder: &'static str,
        name: &'static str,
        make: impl FnOnce() -> String,
    ) -> Arc<Tagged> {
        let known = self.0.read().unwrap_or_else(PoisonError::into_inner).get(&(folder, name)).cloned();
        known.unwrap_or_else(|| {
            let made = Arc::new(Tagged::new(reply::HTML, make()));
            let mut pages = self.0.write().unwrap_or_else(PoisonError::into_inner);
            Arc::clone(pages.entry((folder, name)).or_insert(made))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::KeptPages;

    #[test]
    fn a_page_is_made_once_and_each_folder_has_its_own() {
        let pages = KeptPages::default();
        let mut made = 0;
        for _ in 0..2 {
            let page = pages.page("methods", "decay", || {
                made += 1;
                "one".to_owned()
            });
            assert_eq!(page.body(), b"one");
        }
        assert_eq!(made, 1);
        assert_eq!(pages.page("problems", "decay", || "other".to_owned()).body(), b"other");
    }
}
