//! What is answered of webhooks.

use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;
use uuid::Uuid;

use crate::app::webhooks::{LoggedNotice, LoggedTry, Webhook};
use crate::http::v1::kept::instant;

/// A webhook, without its secret.
#[derive(Debug, Serialize, ToSchema)]
pub struct WebhookOut {
    /// Its id.
    #[schema(value_type = String, format = "uuid", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0e")]
    id: Uuid,
    /// Where notices go.
    #[schema(example = "https://books.example/offtake")]
    url: String,
    /// What you call it.
    #[schema(example = "Books")]
    label: String,
    /// Which notices it gets; all when empty.
    #[schema(example = json!(["quote.accepted"]))]
    events: Vec<String>,
    /// Whether it gets notices.
    enabled: bool,
    /// Why it gets none.
    #[schema(example = "by the shop")]
    disabled: Option<String>,
    /// Until when the secret before signs, too.
    #[schema(format = DateTime)]
    old_secret_until: Option<String>,
    /// When it was added.
    #[schema(format = DateTime, example = "2026-11-25T08:00:00Z")]
    created_at: String,
}

impl From<Webhook> for WebhookOut {
    fn from(hook: Webhook) -> Self {
        Self {
            id: hook.id,
            url: hook.url,
            label: hook.label,
            events: hook.kinds,
            enabled: hook.disabled.is_none(),
            disabled: hook.disabled,
            old_secret_until: hook.old_until.map(instant),
            created_at: instant(hook.created_at),
        }
    }
}

/// A webhook with its secret, which is shown this once.
#[derive(Debug, Serialize, ToSchema)]
pub struct NewWebhookOut {
    /// The webhook.
    webhook: WebhookOut,
    /// Its secret, for the receiver: `whsec_` and base64.
    #[schema(example = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw")]
    secret: String,
}

impl NewWebhookOut {
    /// From its parts.
    pub fn of(hook: Webhook, secret: String) -> Self {
        Self {
            webhook: hook.into(),
            secret,
        }
    }
}

/// All webhooks.
#[derive(Debug, Serialize, ToSchema)]
pub struct WebhooksOut {
    /// In the order they were added.
    items: Vec<WebhookOut>,
}

impl From<Vec<Webhook>> for WebhooksOut {
    fn from(hooks: Vec<Webhook>) -> Self {
        Self {
            items: hooks.into_iter().map(WebhookOut::from).collect(),
        }
    }
}

/// A try to deliver.
#[derive(Debug, Serialize, ToSchema)]
pub struct DeliveryTryOut {
    /// When.
    #[schema(format = DateTime, example = "2026-11-25T08:00:00Z")]
    at: String,
    /// The status that was answered; none when nothing was.
    #[schema(example = 503)]
    status: Option<i64>,
    /// What came of it.
    #[schema(example = "refused, 503")]
    detail: String,
}

impl From<LoggedTry> for DeliveryTryOut {
    fn from(tried: LoggedTry) -> Self {
        Self {
            at: instant(tried.at),
            status: tried.status,
            detail: tried.detail,
        }
    }
}

/// A notice and what became of it.
#[derive(Debug, Serialize, ToSchema)]
pub struct DeliveryOut {
    /// Id of the notice, for sending it again.
    #[schema(value_type = String, format = "uuid", example = "0190a5f0-8a5c-7cc1-9d3f-2f2a1b1c0d0f")]
    id: Uuid,
    /// `webhook-id` it is sent with.
    #[schema(example = "msg_0190a5f08a5c7cc19d3f2f2a1b1c0d0f")]
    webhook_id: String,
    /// What it tells of.
    #[schema(example = "quote.accepted")]
    event: String,
    /// `waiting`, `delivered` or `failed`.
    #[schema(example = "delivered")]
    state: String,
    /// When it was written.
    #[schema(format = DateTime, example = "2026-11-25T08:00:00Z")]
    created_at: String,
    /// When it is tried next, while it waits.
    #[schema(format = DateTime)]
    next_at: Option<String>,
    /// Every try, in order.
    tries: Vec<DeliveryTryOut>,
    /// What is sent.
    body: Value,
}

impl DeliveryOut {
    /// Id of the notice.
    pub const fn id(&self) -> Uuid {
        self.id
    }
}

impl From<LoggedNotice> for DeliveryOut {
    fn from(notice: LoggedNotice) -> Self {
        Self {
            id: notice.id,
            webhook_id: format!("msg_{}", notice.id.simple()),
            event: notice.kind,
            state: notice.state,
            created_at: instant(notice.created_at),
            next_at: notice.next_at.map(instant),
            tries: notice.tries.into_iter().map(DeliveryTryOut::from).collect(),
            body: serde_json::from_str(&notice.body).unwrap_or(Value::Null),
        }
    }
}
