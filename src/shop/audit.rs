//! Who does what: the words that every change is written down in.

use uuid::Uuid;

/// Who acts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Actor {
    /// Whoever holds a key; never the key itself.
    Key {
        /// Its id.
        id: Uuid,
        /// What its owner calls it.
        label: String,
        /// What it may do: words with a space between.
        scopes: String,
    },
    /// A customer who holds a link; never its token.
    Link {
        /// Its id.
        id: Uuid,
        /// Whom it was made for, in the shop's words.
        label: String,
    },
    /// Whoever runs this command on the machine itself.
    Command(&'static str),
    /// The program, of itself: this part of it.
    Program(&'static str),
}

impl Actor {
    /// What kind of actor, as a word.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Key { .. } => "key",
            Self::Link { .. } => "link",
            Self::Command(_) => "command",
            Self::Program(_) => "program",
        }
    }

    /// The id of the key or link.
    pub const fn id(&self) -> Option<Uuid> {
        match self {
            Self::Key { id, .. } | Self::Link { id, .. } => Some(*id),
            Self::Command(_) | Self::Program(_) => None,
        }
    }

    /// What it is called.
    pub fn label(&self) -> &str {
        match self {
            Self::Key { label, .. } | Self::Link { label, .. } => label,
            Self::Command(name) | Self::Program(name) => name,
        }
    }

    /// What its key may do; empty without one.
    pub fn scopes(&self) -> &str {
        match self {
            Self::Key { scopes, .. } => scopes,
            _ => "",
        }
    }
}

macro_rules! deeds {
    ($($(#[$doc:meta])* $deed:ident = $word:literal to $subject:literal,)+) => {
        /// What is done. The words are stored and hashed: one that is out never changes.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Deed {
            $($(#[$doc])* $deed,)+
        }

        impl Deed {
            /// Every deed.
            pub const ALL: &'static [Self] = &[$(Self::$deed),+];

            /// Its word.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$deed => $word,)+ }
            }

            /// The kind of thing it is done to, as a word.
            pub const fn subject(self) -> &'static str {
                match self { $(Self::$deed => $subject,)+ }
            }
        }
    };
}

deeds! {
    /// A quote is written.
    QuoteCreated = "quote_created" to "quote",
    /// A quote is written as a copy of another.
    QuoteCopied = "quote_copied" to "quote",
    /// A draft is written anew.
    QuoteRewritten = "quote_rewritten" to "quote",
    /// Another revision is written.
    QuoteRevised = "quote_revised" to "quote",
    /// A revision is put before the customer.
    QuoteIssued = "quote_issued" to "quote",
    /// It is taken.
    QuoteAccepted = "quote_accepted" to "quote",
    /// It is not taken.
    QuoteDeclined = "quote_declined" to "quote",
    /// It is taken back by the shop.
    QuoteWithdrawn = "quote_withdrawn" to "quote",
    /// Its last day has passed.
    QuoteExpired = "quote_expired" to "quote",
    /// Another revision has taken its place.
    QuoteSuperseded = "quote_superseded" to "quote",
    /// Its paper is printed for the first time, and kept.
    QuotePrinted = "quote_printed" to "quote",
    /// A link to a quote is made.
    LinkMade = "link_made" to "link",
    /// A link is taken out of use.
    LinkRevoked = "link_revoked" to "link",
    /// A customer is added.
    CustomerAdded = "customer_added" to "customer",
    /// A customer is changed.
    CustomerChanged = "customer_changed" to "customer",
    /// A draft of a price list is made.
    PriceListAdded = "price_list_added" to "price_list",
    /// The prices of a draft are put in place of those before.
    PriceItemsReplaced = "price_items_replaced" to "price_list",
    /// A price list is published.
    PriceListPublished = "price_list_published" to "price_list",
    /// A draft of a labour model is made.
    LabourModelAdded = "labour_model_added" to "labour_model",
    /// Times, conditions or repetition of a draft are put in place of those before.
    LabourModelChanged = "labour_model_changed" to "labour_model",
    /// A labour model is published.
    LabourModelPublished = "labour_model_published" to "labour_model",
    /// What the shop can form is entered.
    FormingProfileSet = "forming_profile_set" to "forming_profile",
    /// An offcut is put on the rack.
    OffcutAdded = "offcut_added" to "offcut",
    /// An offcut is reserved for a job.
    OffcutReserved = "offcut_reserved" to "offcut",
    /// An offcut is taken off the rack.
    OffcutTaken = "offcut_taken" to "offcut",
    /// An offcut is put back, or its reservation ends.
    OffcutReturned = "offcut_returned" to "offcut",
    /// The settings of the shop are set.
    ShopSet = "shop_set" to "shop",
    /// The shop's logo is put on its documents.
    LogoSet = "logo_set" to "shop",
    /// Documents bear no logo any more.
    LogoRemoved = "logo_removed" to "shop",
    /// A template of the shop takes the place of ours.
    TemplateSet = "template_set" to "shop",
    /// Our template takes its place back.
    TemplateRemoved = "template_removed" to "shop",
    /// A webhook is added.
    WebhookAdded = "webhook_added" to "webhook",
    /// A webhook gets another secret.
    WebhookSecretRotated = "webhook_secret_rotated" to "webhook",
    /// A webhook gets no more notices.
    WebhookDisabled = "webhook_disabled" to "webhook",
    /// A webhook gets notices again.
    WebhookEnabled = "webhook_enabled" to "webhook",
    /// A notice is sent again by hand.
    NoticeReplayed = "notice_replayed" to "webhook",
    /// A key is made.
    KeyCreated = "key_created" to "key",
    /// A key is taken out of use.
    KeyRevoked = "key_revoked" to "key",
}
