//! The shop's logo and templates: tried first, then put in place of ours.

use serde_json::json;

use super::audit::{Done, differences, sha256};
use super::quotes::again_while_stale;
use super::{App, AppError};
use crate::documents::apart::Job;
use crate::documents::file_fault::{FileFault, FileFlaw};
use crate::documents::logo::{self, LogoPicture};
use crate::documents::trial::{self, TrialFault};
use crate::documents::{page, quote};
use crate::shop::audit::Deed;
use crate::shop::own::{Logo, OwnFiles, TemplateName};
use crate::shop::settings::Shop;
use crate::store::Tx;
use crate::store::shop_files::{self, ShopFileRow};

/// Bytes that a template may have.
const MOST_BYTES: usize = 256 * 1024;

/// A logo that documents can show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckedLogo(LogoPicture);

/// A template that prints.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckedTemplate {
    name: TemplateName,
    text: String,
}

/// What stands on documents in place of ours, loaded.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LoadedFiles {
    /// The logo.
    pub logo: Option<LogoPicture>,
    /// The template of the page.
    pub page: Option<String>,
    /// The template of the paper.
    pub paper: Option<String>,
}

/// A template as it is now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateText {
    /// Its text.
    pub text: String,
    /// Whether it is the shop's own.
    pub is_own: bool,
}

/// A file that settings name and that is not there: somebody took it out of the database.
#[derive(Debug, thiserror::Error)]
#[error("the file {0} of the shop is not there")]
struct Gone(String);

fn refused(what: &str, faults: Vec<FileFault>) -> AppError {
    AppError::File {
        detail: format!(
            "{what} cannot be used, and nothing was changed; `errors` names every reason."
        ),
        faults,
    }
}

fn broken(fault: TrialFault) -> AppError {
    AppError::Document(Box::new(fault))
}

impl App {
    /// Looks a logo through, and sets a sample quote with it on either size of paper. Heavy.
    ///
    /// # Errors
    /// [`AppError::File`] with everything that is wrong with it.
    pub fn check_logo(&self, shop: &Shop, picture: LogoPicture) -> Result<CheckedLogo, AppError> {
        logo::check(picture.kind, &picture.bytes).map_err(|faults| refused("The logo", faults))?;
        let shown = with_name(&picture, shop);
        let prints = trial::papers(shop, Some(&shown)).map_err(broken)?;
        let outcomes = self.press.set(&Job::papers(quote::TEMPLATE, prints))?;
        let faults = distinct(outcomes.into_iter().filter_map(Result::err));
        match faults.is_empty() {
            true => Ok(CheckedLogo(picture)),
            // Places are in our template, and of no use to whoever drew the logo.
            false => Err(refused(
                "The logo",
                faults.into_iter().map(of_logo).collect(),
            )),
        }
    }

    /// Puts a logo on the shop's documents. Answers the version of the settings.
    ///
    /// # Errors
    /// [`AppError::NoShop`], or when the database fails.
    pub async fn set_logo(&self, CheckedLogo(picture): &CheckedLogo) -> Result<i64, AppError> {
        let file = self.file(picture.kind.media_type(), picture.bytes.clone());
        let logo = Logo {
            digest: file.digest.clone(),
            kind: picture.kind,
            text: picture.text.clone(),
        };
        let done = Done::new(Deed::LogoSet, "logo");
        let change = |own| {
            Ok(OwnFiles {
                logo: Some(logo.clone()),
                ..own
            })
        };
        self.change_own(Some(&file), &done, &change).await
    }

    /// Takes the logo off documents to come.
    ///
    /// # Errors
    /// When there is none.
    pub async fn remove_logo(&self) -> Result<i64, AppError> {
        let done = Done::new(Deed::LogoRemoved, "logo");
        let change = |own: OwnFiles| match own.logo {
            None => Err(AppError::not_found("logo", "of the shop")),
            Some(_) => Ok(OwnFiles { logo: None, ..own }),
        };
        self.change_own(None, &done, &change).await
    }

    /// The logo that documents bear now.
    ///
    /// # Errors
    /// When there is none.
    pub async fn logo(&self) -> Result<LogoPicture, AppError> {
        let none = || AppError::not_found("logo", "of the shop");
        let mut tx = self.db.read().await?;
        let (shop, _) = match self.shop(&mut tx).await {
            Err(AppError::NoShop) => return Err(none()),
            found => found?,
        };
        self.picture(&mut tx, &shop).await?.ok_or_else(none)
    }

    /// Tries a template of the shop's on sample quotes. Heavy.
    ///
    /// # Errors
    /// [`AppError::File`] with every fault, by line and column where it has a place.
    pub fn check_template(
        &self,
        shop: &Shop,
        name: TemplateName,
        text: String,
    ) -> Result<CheckedTemplate, AppError> {
        let what = format!("The template {}", name.file());
        if text.len() > MOST_BYTES {
            let detail = format!(
                "the template has {} bytes; {MOST_BYTES} are the most: shorten it",
                text.len()
            );
            return Err(refused(
                &what,
                vec![FileFault::whole(FileFlaw::TooLong, detail)],
            ));
        }
        let job = match name {
            TemplateName::Paper => Job::papers(&text, trial::papers(shop, None).map_err(broken)?),
            TemplateName::Page => Job::Pages {
                template: text.clone(),
                data: trial::pages(shop).map_err(broken)?,
            },
        };
        let (mut pages, mut failed) = (Vec::new(), Vec::new());
        for outcome in self.press.set(&job)? {
            match outcome {
                Ok(bytes) => pages.push(String::from_utf8_lossy(&bytes).into_owned()),
                Err(faults) => failed.push(faults),
            }
        }
        let mut faults = distinct(failed);
        if name == TemplateName::Page && faults.is_empty() {
            faults = trial::page_faults(&pages);
        }
        match faults.is_empty() {
            true => Ok(CheckedTemplate { name, text }),
            false => Err(refused(&what, faults)),
        }
    }

    /// Puts a template in place of ours. Answers the version of the settings.
    ///
    /// # Errors
    /// [`AppError::NoShop`], or when the database fails.
    pub async fn set_template(&self, template: &CheckedTemplate) -> Result<i64, AppError> {
        let CheckedTemplate { name, text } = template;
        let file = self.file("text/plain", text.clone().into_bytes());
        let done = Done::new(Deed::TemplateSet, name.file());
        let change = |own: OwnFiles| Ok(own.with_template(*name, Some(file.digest.clone())));
        self.change_own(Some(&file), &done, &change).await
    }

    /// Puts our template back in its place.
    ///
    /// # Errors
    /// When it is in its place already.
    pub async fn remove_template(&self, name: TemplateName) -> Result<i64, AppError> {
        let done = Done::new(Deed::TemplateRemoved, name.file());
        let change = |own: OwnFiles| match own.template(name) {
            None => Err(AppError::not_found(
                "template of the shop's own called",
                name.file(),
            )),
            Some(_) => Ok(own.with_template(name, None)),
        };
        self.change_own(None, &done, &change).await
    }

    /// A template as it is now: the shop's own, or ours.
    ///
    /// # Errors
    /// When the database fails.
    pub async fn template(&self, name: TemplateName) -> Result<TemplateText, AppError> {
        let mut tx = self.db.read().await?;
        let own = match self.shop(&mut tx).await {
            Ok((shop, _)) => shop.own,
            Err(AppError::NoShop) => OwnFiles::default(),
            Err(error) => return Err(error),
        };
        let own = text(&mut tx, own.template(name)).await?;
        let ours = match name {
            TemplateName::Page => page::QUOTE,
            TemplateName::Paper => quote::TEMPLATE,
        };
        Ok(TemplateText {
            is_own: own.is_some(),
            text: own.unwrap_or_else(|| ours.to_owned()),
        })
    }

    /// What a shop as frozen or as it is now has in place of ours.
    ///
    /// # Errors
    /// When a file is gone, or the database fails.
    pub(super) async fn own_files(&self, shop: &Shop) -> Result<LoadedFiles, AppError> {
        if shop.own.is_empty() {
            return Ok(LoadedFiles::default());
        }
        let mut tx = self.db.read().await?;
        Ok(LoadedFiles {
            logo: self.picture(&mut tx, shop).await?,
            page: text(&mut tx, shop.own.page.as_deref()).await?,
            paper: text(&mut tx, shop.own.paper.as_deref()).await?,
        })
    }

    async fn picture(&self, tx: &mut Tx, shop: &Shop) -> Result<Option<LogoPicture>, AppError> {
        let Some(logo) = &shop.own.logo else {
            return Ok(None);
        };
        let picture = LogoPicture {
            kind: logo.kind,
            bytes: content(tx, &logo.digest).await?,
            text: logo.text.clone(),
        };
        Ok(Some(with_name(&picture, shop)))
    }

    fn file(&self, media_type: &str, content: Vec<u8>) -> ShopFileRow {
        ShopFileRow {
            digest: sha256(&content),
            media_type: media_type.to_owned(),
            content,
            at: self.now(),
        }
    }

    async fn change_own(
        &self,
        file: Option<&ShopFileRow>,
        done: &Done,
        change: &(dyn Fn(OwnFiles) -> Result<OwnFiles, AppError> + Sync),
    ) -> Result<i64, AppError> {
        again_while_stale(None, || self.try_change_own(file, done, change)).await
    }

    async fn try_change_own(
        &self,
        file: Option<&ShopFileRow>,
        done: &Done,
        change: &(dyn Fn(OwnFiles) -> Result<OwnFiles, AppError> + Sync),
    ) -> Result<i64, AppError> {
        let mut tx = self.db.write().await?;
        let (before, expected) = self.shop(&mut tx).await?;
        let after = Shop {
            own: change(before.own.clone())?,
            ..before.clone()
        };
        if let Some(file) = file {
            shop_files::insert(&mut tx, file).await?;
        }
        let version = self.append_shop(&mut tx, &after, expected).await?;
        let changed = differences(Some(&before), &after);
        let done = done.clone().version(version);
        self.record(&mut tx, done.with(json!({"changed": changed})))
            .await?;
        tx.commit().await?;
        Ok(version)
    }
}

/// A picture that says nothing of itself is called by the shop's name.
fn with_name(picture: &LogoPicture, shop: &Shop) -> LogoPicture {
    let mut picture = picture.clone();
    if picture.text.is_empty() {
        picture.text.clone_from(&shop.letterhead.name);
    }
    picture
}

fn of_logo(fault: FileFault) -> FileFault {
    let flaw = match fault.flaw {
        FileFlaw::TooCostly => FileFlaw::TooCostly,
        _ => FileFlaw::NotAPicture,
    };
    let detail = format!("a sample quote could not be set with it: {}", fault.detail);
    FileFault::whole(flaw, detail)
}

/// Each fault once, though several samples show it.
fn distinct(faults: impl IntoIterator<Item = Vec<FileFault>>) -> Vec<FileFault> {
    let mut all: Vec<FileFault> = Vec::new();
    for fault in faults.into_iter().flatten() {
        if !all.contains(&fault) {
            all.push(fault);
        }
    }
    all.sort_by_key(|fault| fault.place);
    all
}

async fn text(tx: &mut Tx, digest: Option<&str>) -> Result<Option<String>, AppError> {
    let Some(digest) = digest else {
        return Ok(None);
    };
    let text = String::from_utf8(content(tx, digest).await?);
    text.map(Some)
        .map_err(|error| AppError::Document(Box::new(error)))
}

async fn content(tx: &mut Tx, digest: &str) -> Result<Vec<u8>, AppError> {
    let file = shop_files::get(tx, digest).await?;
    file.map(|file| file.content)
        .ok_or_else(|| AppError::Document(Box::new(Gone(digest.to_owned()))))
}
